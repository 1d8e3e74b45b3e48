//! Local times against the reference zone table, `chrono-tz`.

use chrono::{DateTime, LocalResult, NaiveDate, Offset, TimeZone};
use chrono_tz::Tz;
use duskbook::shoot::camera_clock::{Reckoned, moment};
use duskbook::units::Instant;

/// Seconds ahead of UTC by the reference.
fn offset_s(zone: Tz, at: Instant) -> f64 {
    let utc = DateTime::from_timestamp_millis(at.epoch_ms().floor() as i64).unwrap();
    f64::from(zone.offset_from_utc_datetime(&utc.naive_utc()).fix().local_minus_utc())
}

#[test]
fn a_zones_clock_names_the_moment_that_the_reference_does() {
    let mut met = [0; 3];
    for zone in [
        "Europe/Lisbon",
        "Asia/Kathmandu",
        "America/St_Johns",
        "Australia/Lord_Howe",
        "Pacific/Kiritimati",
        "Pacific/Pago_Pago",
    ] {
        let zone: Tz = zone.parse().unwrap();
        let mut local = NaiveDate::from_ymd_opt(2026, 1, 1).unwrap().and_hms_opt(0, 7, 0).unwrap();
        let end = NaiveDate::from_ymd_opt(2027, 1, 1).unwrap().and_hms_opt(0, 0, 0).unwrap();
        while local < end {
            let (found, reckoned) =
                moment(local.and_utc().timestamp_millis() as f64, |at| offset_s(zone, at));
            let found = found.epoch_ms() as i64;
            match zone.from_local_datetime(&local) {
                LocalResult::Single(at) => {
                    assert_eq!((found, reckoned), (at.timestamp_millis(), Reckoned::Once), "{local} {zone}");
                    met[0] += 1;
                }
                LocalResult::Ambiguous(first, _) => {
                    assert_eq!(
                        (found, reckoned),
                        (first.timestamp_millis(), Reckoned::Twice),
                        "{local} {zone}"
                    );
                    met[1] += 1;
                }
                LocalResult::None => {
                    assert_eq!(reckoned, Reckoned::Never, "{local} {zone}");
                    met[2] += 1;
                }
            }
            local += chrono::TimeDelta::minutes(15);
        }
    }
    println!("{} times said once, {} twice, {} never", met[0], met[1], met[2]);
    assert!(met[1] > 0 && met[2] > 0);
}
