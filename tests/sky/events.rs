//! Every crossing in the windows of `sky_windows.csv`, against JPL's DE421.

use duskbook::sky::events::{Crossing, crossings};
use duskbook::sky::place::Place;
use duskbook::units::{Angle, Instant, Span};

use crate::data::{Worst, number, table};

const WINDOWS: usize = 382;
const EVENTS: usize = 10_445;
const LEVELS: [f64; 6] = [-18.0, -12.0, -6.0, -4.0, -0.8333, 6.0];
/// Below this speed of the altitude, degrees a second, an event is a graze.
const GRAZE: f64 = 2e-4;

struct Window {
    place: Place,
    span: Span,
}

struct Event {
    window: usize,
    rising: bool,
    at: Instant,
    altitude: f64,
    azimuth: f64,
    rate: f64,
}

fn instant(cell: &str) -> Instant {
    Instant::from_epoch_ms(number(cell) * 1e3).unwrap()
}

fn windows() -> Vec<Window> {
    let read = |row: Vec<String>| Window {
        place: Place::new(number(&row[0]), number(&row[1]), number(&row[2])).unwrap(),
        span: Span::new(instant(&row[3]), instant(&row[4])).unwrap(),
    };
    table("sky_windows.csv", WINDOWS).into_iter().map(read).collect()
}

fn events() -> Vec<Event> {
    let read = |row: Vec<String>| Event {
        window: row[0].parse().unwrap(),
        rising: match row[1].as_str() {
            "rising" => true,
            "falling" => false,
            other => panic!("kind {other}"),
        },
        at: instant(&row[2]),
        altitude: number(&row[3]),
        azimuth: number(&row[4]),
        rate: number(&row[5]),
    };
    table("sky_events.csv", EVENTS).into_iter().map(read).collect()
}

fn found(window: &Window) -> Vec<Crossing> {
    crossings(&window.place, window.span, &LEVELS.map(Angle::from_degrees))
}

#[test]
fn every_event_is_there_on_time_and_none_is_invented() {
    let (windows, events) = (windows(), events());
    let [mut sure, mut grazing, mut azimuths] = [const { Worst::new() }; 3];
    let mut expected = events.iter().peekable();
    for (i, window) in windows.iter().enumerate() {
        for crossing in found(window) {
            let row =
                format!("window {i}, {:.4}° at {}", crossing.altitude.degrees(), crossing.at.epoch_ms());
            let event = expected.next_if(|e| e.window == i).unwrap_or_else(|| panic!("invented: {row}"));
            let altitude = crossing.altitude.degrees();
            assert!((altitude - event.altitude).abs() < 1e-9, "{row}: expected {}", event.altitude);
            assert_eq!(crossing.rising, event.rising, "{row}");
            let late = crossing.at.seconds_after(event.at);
            if event.rate >= GRAZE { &mut sure } else { &mut grazing }.note(late, &row);
            if event.rate >= GRAZE {
                azimuths.note((crossing.azimuth.degrees() - event.azimuth + 540.0) % 360.0 - 180.0, &row);
            }
        }
        assert!(expected.next_if(|e| e.window == i).is_none(), "an event of window {i} is missing");
    }
    // Asked for are 1 s and, for grazes, 60 s. The sun is within 0.15″, which its speed turns into this much.
    sure.within("sun events, seconds", 0.1);
    grazing.within("grazing sun events, seconds", 1.0);
    // The table has three decimals.
    azimuths.within("azimuths at events, degrees", 0.0007);
}

#[test]
fn the_table_covers_what_it_should() {
    let (windows, events) = (windows(), events());
    let mut latitudes: Vec<f64> = windows.iter().map(|window| window.place.latitude().degrees()).collect();
    latitudes.dedup();
    assert_eq!(latitudes.len(), 20);
    assert!(latitudes.iter().any(|l| *l > 78.0) && latitudes.iter().any(|l| *l < -67.0));
    let year = |window: &Window| 1970.0 + window.span.start().epoch_ms() / 31_556_952_000.0;
    assert!(windows.iter().any(|w| year(w) < 1955.0) && windows.iter().any(|w| year(w) > 2045.0));
    assert!(events.iter().filter(|event| event.rate < GRAZE).count() > 100);
    // Windows in which the sun neither rises nor sets are in it, and are as much a result as the others.
    let sets = |i: usize| events.iter().any(|event| event.window == i && event.altitude == -0.8333);
    assert!((0..windows.len()).filter(|&i| !sets(i)).count() > 20);
}
