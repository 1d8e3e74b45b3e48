//! The numbers engraved on dials (ISO 517 for apertures, ISO 516 for times), in thirds and halves of a stop.
//!
//! Full lists of the standards were not seen. Apertures to f/22, times from 1/8 s and speeds to 51 200 are from
//! public copies; the remaining numbers are common practice, from memory.

/// Apertures in thirds from f/1, exact 2^(n/6).
pub(super) const APERTURE_THIRDS: [&str; 37] = [
    "1", "1.1", "1.2", "1.4", "1.6", "1.8", "2", "2.2", "2.5", "2.8", "3.2", "3.5", "4", "4.5", "5", "5.6",
    "6.3", "7.1", "8", "9", "10", "11", "13", "14", "16", "18", "20", "22", "25", "29", "32", "36", "40",
    "45", "51", "57", "64",
];

/// Apertures in halves from f/1, exact 2^(n/4).
pub(super) const APERTURE_HALVES: [&str; 19] = [
    "1", "1.2", "1.4", "1.7", "2", "2.4", "2.8", "3.3", "4", "4.8", "5.6", "6.7", "8", "9.5", "11", "13",
    "16", "19", "22",
];

/// Times in seconds, in thirds from 1/8000 s (thirteen stops below a second), exact 2^(n/3).
pub(super) const TIME_THIRDS: [&str; 55] = [
    "1/8000", "1/6400", "1/5000", "1/4000", "1/3200", "1/2500", "1/2000", "1/1600", "1/1250", "1/1000",
    "1/800", "1/640", "1/500", "1/400", "1/320", "1/250", "1/200", "1/160", "1/125", "1/100", "1/80", "1/60",
    "1/50", "1/40", "1/30", "1/25", "1/20", "1/15", "1/13", "1/10", "1/8", "1/6", "1/5", "1/4", "0.3", "0.4",
    "0.5", "0.6", "0.8", "1", "1.3", "1.6", "2", "2.5", "3.2", "4", "5", "6", "8", "10", "13", "15", "20",
    "25", "30",
];

/// Speeds in thirds from ISO 50 (one stop below 100), exact 100 · 2^(n/3).
pub(super) const SPEED_THIRDS: [&str; 34] = [
    "50", "64", "80", "100", "125", "160", "200", "250", "320", "400", "500", "640", "800", "1000", "1250",
    "1600", "2000", "2500", "3200", "4000", "5000", "6400", "8000", "10000", "12800", "16000", "20000",
    "25600", "32000", "40000", "51200", "64000", "80000", "102400",
];
