use chrono::{Offset, TimeZone, Utc};
use chrono_tz::Tz;
use duskbook::exposure::settings::Held;
use duskbook::light::reading::Reading;
use duskbook::light::scene::{Cloud, Conditions, Intent, Scene};
use duskbook::shoot::assumption::Assumption;
use duskbook::shoot::half_day::Part;
use duskbook::shoot::hours::Hours;
use duskbook::shoot::row::{Kind, Row};
use duskbook::shoot::run_sheet::{Plan, RunSheet};
use duskbook::shoot::shift::Shift;
use duskbook::shoot::shot::ShotForm;
use duskbook::shoot::spot::SpotForm;
use duskbook::sky::skyline::Skyline;
use duskbook::units::civil_day;
use duskbook::units::{Ev, Instant, Length, Span, Stops, civil_date};
use proptest::prelude::*;
use solar_positioning::{Horizon, Location, SolarEvents};

use crate::data::Worst;

/// A place in mid-ocean that nobody photographs.
fn heron_weir(latitude: f64, skyline: f64) -> SpotForm {
    SpotForm {
        name: "Heron Weir".to_owned(),
        latitude_deg: Some(latitude),
        longitude_deg: Some(-30.0),
        zone: "Atlantic/Azores".to_owned(),
        bearing_deg: Some(180.0),
        skyline_deg: Some(skyline),
        walk_min: Some(20.0),
        ..SpotForm::default()
    }
}

fn day(zone: &str, date: &str) -> Span {
    let zone: Tz = zone.parse().unwrap();
    let ahead = |at: Instant| {
        let utc = at.to_chrono().unwrap().naive_utc();
        f64::from(zone.offset_from_utc_datetime(&utc).fix().local_minus_utc())
    };
    civil_day(civil_date(date).unwrap(), ahead).unwrap()
}

fn plan(spot: &SpotForm, date: &str, part: Part) -> Plan {
    Plan {
        skyline: None,
        spot: spot.check().unwrap(),
        shot: ShotForm::default().check().unwrap(),
        day: day(&spot.zone, date),
        part,
        conditions: Conditions { cloud: Cloud::Clear, scene: Scene::Skyline, intent: Intent::Frame },
        readings: Vec::new(),
        lesson: None,
        from: None,
        step: Stops::new(0.5),
        hours: Hours::default(),
    }
}

fn sheet(spot: &SpotForm, date: &str, part: Part) -> RunSheet {
    RunSheet::new(&plan(spot, date, part)).unwrap()
}

fn row(sheet: &RunSheet, kind: Kind) -> Row {
    *sheet.rows.iter().find(|row| row.kind == kind).unwrap_or_else(|| panic!("no {} row", kind.word()))
}

fn kinds(sheet: &RunSheet) -> Vec<&'static str> {
    sheet.rows.iter().map(|row| row.kind.word()).filter(|&word| word != "dial").collect()
}

fn dials(sheet: &RunSheet) -> Vec<Row> {
    sheet.rows.iter().copied().filter(|row| row.kind == Kind::Dial).collect()
}

/// The half stops that rows with a setting tell of, by a dial row or by an event within half a minute of it.
fn half_stops(sheet: &RunSheet) -> Vec<f64> {
    let told = sheet.rows.iter().filter(|row| row.setting.is_some()).filter_map(|row| {
        let ev = row.light.ev.value();
        let level = (ev * 2.0).round() / 2.0;
        // At 44° and 50° north the light changes by a tenth of a stop in half a minute.
        ((ev - level).abs() < 0.1).then_some(level)
    });
    let mut told: Vec<f64> = told.collect();
    told.dedup();
    told
}

/// Minutes from the first moment of a UTC date.
fn minutes_utc(at: Instant, date: &str) -> f64 {
    at.seconds_after(day("UTC", date).start()) / 60.0
}

#[test]
fn an_evening_worked_out_by_hand() {
    // 50° N, 30° W, 20 March 2031. Declination 0.0° (the equinox is at 19:41 UTC) and equation of time −7.4 min, so
    // noon at 14:07.4 UTC. Hour angle by cos H = sin h / cos 50°, the declination being nothing, at 4 min a degree.
    const DATE: &str = "2031-03-20";
    let spot = SpotForm { bearing_deg: Some(270.0), ..heron_weir(50.0, 0.0) };
    let evening = sheet(&spot, DATE, Part::Evening);
    let mut worst = Worst::default();
    for (kind, altitude) in [
        (Kind::GoldenStart, 6.0),
        (Kind::Sunset, -0.8333),
        (Kind::Skyline, -0.8333),
        (Kind::GoldenEnd, -4.0),
        (Kind::Civil, -6.0),
        (Kind::Nautical, -12.0),
        (Kind::Astronomical, -18.0_f64),
    ] {
        let hour_angle = (altitude.to_radians().sin() / 50_f64.to_radians().cos()).acos().to_degrees();
        let by_hand = 14.0 * 60.0 + 7.4 + 4.0 * hour_angle;
        worst.note(minutes_utc(row(&evening, kind).at, DATE) - by_hand, kind.word());
    }
    // The equation of time is rounded to 0.1 min, the declination to a minute of arc: 0.1 min too.
    worst.within("evening by hand, minutes", 0.25);

    let golden = row(&evening, Kind::GoldenStart).at;
    assert_eq!(evening.anchor, Kind::GoldenStart);
    assert!((golden.seconds_after(row(&evening, Kind::BeThere).at) - 15.0 * 60.0).abs() < 1.0);
    assert!((golden.seconds_after(row(&evening, Kind::SetOut).at) - 35.0 * 60.0).abs() < 1.0);
    assert_eq!(
        kinds(&evening),
        [
            "set-out",
            "be-there",
            "golden-start",
            "skyline",
            "sunset",
            "golden-end",
            "blue-start",
            "blue-end",
            "civil",
            "balance",
            "light-ends",
            "nautical",
            "astronomical"
        ]
    );
    assert!(row(&evening, Kind::SetOut).setting.is_none() && row(&evening, Kind::BeThere).setting.is_some());
}

#[test]
fn morning_and_evening_at_an_equinox_are_mirror_images() {
    // A lens to the south sees the sun come and go alike. The declination moves 0.2° in between: a minute.
    let spot = heron_weir(50.0, 2.0);
    let (evening, morning) =
        (sheet(&spot, "2031-03-20", Part::Evening), sheet(&spot, "2031-03-20", Part::Morning));
    let noon = plan(&spot, "2031-03-20", Part::Evening);
    let noon = duskbook::shoot::half_day::HalfDay::of(&noon.spot.place, noon.day, Part::Evening).span.start();
    let mut worst = Worst::default();
    for (falling, rising) in [
        (Kind::Skyline, Kind::Skyline),
        (Kind::Sunset, Kind::Sunrise),
        (Kind::GoldenStart, Kind::GoldenEnd),
        (Kind::GoldenEnd, Kind::GoldenStart),
        (Kind::BlueStart, Kind::BlueEnd),
        (Kind::BlueEnd, Kind::BlueStart),
        (Kind::Nautical, Kind::Nautical),
        (Kind::LightEnds, Kind::LightBegins),
    ] {
        let (after, before) = (row(&evening, falling).at, row(&morning, rising).at);
        worst.note(after.seconds_after(noon) - noon.seconds_after(before), falling.word());
    }
    worst.within("mirror image, seconds", 90.0);

    let (falls, mut rises) = (half_stops(&evening), half_stops(&morning));
    rises.reverse();
    assert!(falls.len() > 12, "{falls:?}");
    assert_eq!(falls, rises);
    let (falling, rising) = (evening.balance.unwrap(), morning.balance.unwrap());
    assert!((falling.sun_altitude - rising.sun_altitude).degrees().abs() < 0.05);
    // In the morning the first frame is the first light, and nothing is to be dialled before.
    let begins = row(&morning, Kind::LightBegins).at;
    assert!((begins.seconds_after(row(&morning, Kind::BeThere).at) - 900.0).abs() < 1e-6);
    assert!(dials(&morning).iter().all(|row| row.at >= begins));
    // The last is the golden hour's end, and what the light does while the gear is packed.
    let golden = row(&morning, Kind::GoldenEnd).at;
    assert_eq!(morning.anchor, Kind::GoldenEnd);
    assert!((0.0..=900.0).contains(&morning.span.end().seconds_after(golden)));
}

#[test]
fn every_half_stop_has_its_row_and_every_setting_gives_its_brightness_back() {
    let evening = sheet(&heron_weir(44.0, 4.0), "2031-10-05", Part::Evening);
    let levels = half_stops(&evening);
    assert!(levels.windows(2).all(|pair| pair[0] - pair[1] == 0.5), "{levels:?}");
    let (first, last) = (row(&evening, Kind::BeThere).light.ev, row(&evening, Kind::LightEnds).light.ev);
    assert!(first.value() - levels[0] <= 0.5 && levels[levels.len() - 1] - last.value() <= 0.5);
    assert!(evening.rows.len() <= 40, "{} rows", evening.rows.len());
    for row in &evening.rows {
        let Some(held) = row.setting else { continue };
        let settings = held.settings;
        // EV at ISO 100 = log₂(N² / t · 100 / S), from the exact values that a camera uses.
        let [n, t, s] = [settings.aperture.exact(), settings.shutter.exact(), settings.iso.exact()];
        let suits = (n * n / t * 100.0 / s).log2();
        assert!((row.light.ev.value() - suits - held.residual.count()).abs() < 1e-9);
        assert!(held.residual.count().abs() < 1.0 / 6.0 + 1e-6);
    }
}

#[test]
fn rows_from_now_on_are_those_of_the_whole_evening() {
    let spot = heron_weir(44.0, 0.0);
    let whole = sheet(&spot, "2031-10-05", Part::Evening);
    let now = row(&whole, Kind::Sunset).at.plus_seconds(300.0);
    let rest = RunSheet::new(&Plan { from: Some(now), ..plan(&spot, "2031-10-05", Part::Evening) }).unwrap();
    let late: Vec<Row> = dials(&whole).into_iter().filter(|row| row.at > now).collect();
    let rows = dials(&rest);
    assert_eq!(rows[0].at, now);
    assert_eq!(rows.len(), late.len() + 1);
    for (again, row) in rows[1..].iter().zip(late) {
        assert!(again.at.seconds_after(row.at).abs() < 0.1);
        assert_eq!((again.light.ev, again.setting), (row.light.ev, row.setting));
    }
    let over = Plan { from: Some(whole.span.end()), ..plan(&spot, "2031-10-05", Part::Evening) };
    assert!(dials(&RunSheet::new(&over).unwrap()).is_empty());
}

#[test]
fn one_brightness_has_one_setting_on_every_date() {
    let mut known: Vec<(Ev, Held)> = Vec::new();
    let mut met_again = 0;
    for date in 1..=30 {
        for row in dials(&sheet(&heron_weir(44.0, 0.0), &format!("2031-09-{date:02}"), Part::Evening)) {
            let held = row.setting.unwrap();
            match known.iter().find(|(ev, _)| *ev == row.light.ev) {
                Some((_, before)) => {
                    assert_eq!(held, *before, "EV {:?} on {date} September", row.light.ev);
                    met_again += 1;
                }
                None => known.push((row.light.ev, held)),
            }
        }
    }
    assert!(known.len() < 30 && met_again > 300, "{} levels, {met_again} met again", known.len());
}

#[test]
fn a_high_skyline_brings_the_arrival_forward() {
    let (level, high) = (heron_weir(44.0, 0.0), heron_weir(44.0, 10.0));
    let [level, high] = [level, high].map(|spot| sheet(&spot, "2031-10-05", Part::Evening));
    // The sun sinks about 0.18° a minute here: 10° are 55 to 60 min, and the refraction at 10° 29′ less than at 0°.
    let earlier = row(&level, Kind::Skyline).at.seconds_after(row(&high, Kind::Skyline).at) / 60.0;
    assert!((54.0..62.0).contains(&earlier), "{earlier}");
    assert_eq!((level.anchor, high.anchor), (Kind::GoldenStart, Kind::Skyline));
    let arrival = row(&high, Kind::BeThere).at;
    assert!((row(&high, Kind::Skyline).at.seconds_after(arrival) - 900.0).abs() < 1.0);
}

#[test]
fn there_is_nothing_to_dial_before_the_arrival() {
    let spot = SpotForm { set_up_min: Some(0.0), ..heron_weir(44.0, 0.0) };
    for part in [Part::Evening, Part::Morning] {
        let sheet = sheet(&spot, "2031-10-05", part);
        let arrival = row(&sheet, Kind::BeThere).at;
        assert!(sheet.rows.iter().all(|row| row.setting.is_some() == (row.at >= arrival)), "{part:?}");
        assert!(sheet.rows.iter().any(|row| row.setting.is_none()));
    }
}

#[test]
fn lamps_as_bright_as_the_day_are_met_in_time_for_their_balance() {
    let mut plan = plan(&heron_weir(44.0, 0.0), "2031-10-05", Part::Evening);
    plan.conditions.scene = Scene::Lit(Ev::at_iso_100(15.0));
    let sheet = RunSheet::new(&plan).unwrap();
    assert_eq!(sheet.anchor, Kind::Balance);
    let (arrival, ends) = (row(&sheet, Kind::BeThere).at, row(&sheet, Kind::LightEnds).at);
    assert!((row(&sheet, Kind::Balance).at.seconds_after(arrival) - 900.0).abs() < 1.0);
    assert!(ends < row(&sheet, Kind::Sunset).at && arrival < ends);
}

#[test]
fn a_polar_day_gives_its_lowest_light_and_the_hours_within_a_stop_of_it() {
    let spot = heron_weir(78.0, 0.0);
    for part in [Part::Evening, Part::Morning] {
        let sheet = sheet(&spot, "2031-06-20", part);
        assert_eq!(kinds(&sheet), ["set-out", "be-there", "lowest-light"]);
        assert_eq!(sheet.anchor, Kind::LowestLight);
        assert!(sheet.polar.iter().all(|uncrossed| uncrossed.above) && sheet.polar.len() >= 6);
        let lowest = row(&sheet, Kind::LowestLight);
        // 78° north, the sun 23.4° north: midnight altitude 78 + 23.4 − 90.
        assert!((lowest.sun.altitude.degrees() - 11.4).abs() < 0.1);
        let rows = dials(&sheet);
        assert!(rows.len() >= 2);
        assert!(rows.iter().all(|row| (row.at > lowest.at) == part.rising()));
        let arrival = row(&sheet, Kind::BeThere).at;
        match part {
            Part::Morning => assert!((lowest.at.seconds_after(arrival) - 900.0).abs() < 1.0),
            Part::Evening => {
                let first = arrival.plus_seconds(900.0);
                let start = sheet.curve.iter().find(|sample| sample.at >= first).unwrap();
                assert!(((start.light.ev - lowest.light.ev).count() - 1.0).abs() < 0.02);
            }
        }
    }
}

#[test]
fn where_the_light_never_changes_nobody_is_told_when_to_come() {
    // The sun at the pole stays at −23.4°, where no twilight reaches.
    let mut plan = plan(&heron_weir(90.0, 0.0), "2031-12-20", Part::Evening);
    plan.conditions.scene = Scene::Unlit;
    let pole = RunSheet::new(&plan).unwrap();
    assert_eq!(kinds(&pole), ["lowest-light"]);
    assert!(row(&pole, Kind::LowestLight).setting.is_some() && dials(&pole).is_empty());
    assert!(!pole.assumptions.contains(&Assumption::LampsOnly));
}

#[test]
fn a_polar_night_has_its_twilight_or_only_its_lamps() {
    // The sun peaks at −11.4°: the sky never outshines these lamps, and its twilights change nothing.
    let lamps = sheet(&heron_weir(78.0, 0.0), "2031-12-20", Part::Evening);
    assert_eq!(kinds(&lamps), ["nautical", "astronomical", "lowest-light"]);
    assert!(lamps.balance.is_none() && dials(&lamps).is_empty());
    assert_eq!(lamps.anchor, Kind::LowestLight);
    assert!(lamps.assumptions.contains(&Assumption::LampsOnly));
    let settings = lamps.rows[0].setting.unwrap().settings;
    assert!(lamps.rows.iter().all(|row| row.setting.unwrap().settings == settings));
    let states: Vec<bool> = lamps.polar.iter().map(|uncrossed| uncrossed.above).collect();
    assert!(!states.is_empty() && states.iter().all(|above| !above));

    let ends = [Intent::Sky, Intent::Frame].map(|intent| {
        let mut unlit = plan(&heron_weir(78.0, 0.0), "2031-12-20", Part::Evening);
        unlit.conditions = Conditions { scene: Scene::Unlit, intent, ..unlit.conditions };
        let unlit = RunSheet::new(&unlit).unwrap();
        assert!(!unlit.assumptions.contains(&Assumption::LampsOnly));
        assert_eq!(unlit.anchor, Kind::Nautical);
        row(&unlit, Kind::LightEnds).at
    });
    assert_eq!(ends[0], ends[1]);
}

#[test]
fn an_unlit_evening_ends_no_later_than_astronomical_twilight() {
    for intent in [Intent::Sky, Intent::Frame] {
        let mut unlit = plan(&heron_weir(44.0, 0.0), "2031-10-05", Part::Evening);
        unlit.conditions = Conditions { scene: Scene::Unlit, intent, ..unlit.conditions };
        let unlit = RunSheet::new(&unlit).unwrap();
        let (ends, night) = (row(&unlit, Kind::LightEnds), row(&unlit, Kind::Astronomical));
        assert!(ends.at <= night.at && ends.sun.altitude.degrees() < -9.0, "{ends:?}");
        assert!(unlit.balance.is_none() && !unlit.assumptions.contains(&Assumption::LampsGuessed));
    }
    // A floor far below any night sky: only the twilight can end it.
    let mut dark = plan(&heron_weir(44.0, 0.0), "2031-10-05", Part::Evening);
    dark.conditions.scene = Scene::lit(-12.0).unwrap();
    let dark = RunSheet::new(&dark).unwrap();
    assert!(row(&dark, Kind::LightEnds).at <= row(&dark, Kind::Astronomical).at);
}

#[test]
fn a_white_night_ends_at_its_midnight_and_the_morning_begins_there() {
    let spot = heron_weir(64.0, 0.0);
    let (evening, morning) =
        (sheet(&spot, "2031-06-20", Part::Evening), sheet(&spot, "2031-06-21", Part::Morning));
    assert_eq!(row(&evening, Kind::LowestLight).at, evening.span.end());
    assert!(
        row(&evening, Kind::LowestLight).at.seconds_after(row(&morning, Kind::LowestLight).at).abs() < 1.0
    );
    assert!(dials(&evening).len() > 3 && dials(&morning).len() > 3);
}

#[test]
fn a_day_of_23_hours_has_its_evening_on_its_own_date() {
    // Clocks in the Azores go forward on 2031-03-30 at 01:00 UTC.
    let spot = heron_weir(44.0, 0.0);
    let (before, change) = (day(&spot.zone, "2031-03-29"), day(&spot.zone, "2031-03-30"));
    assert_eq!((before.seconds(), change.seconds()), (86_400.0, 82_800.0));
    let sunset = |date| row(&sheet(&spot, date, Part::Evening), Kind::Sunset).at;
    let (first, second) = (sunset("2031-03-29"), sunset("2031-03-30"));
    assert!(before.contains(first) && change.contains(second));
    // Sunset comes about a minute later from day to day, whatever the clocks do.
    assert!((second.seconds_after(first) - 86_400.0 - 70.0).abs() < 30.0);
    let sunrise = row(&sheet(&spot, "2031-03-30", Part::Morning), Kind::Sunrise).at;
    assert!(change.contains(sunrise));
}

#[test]
fn sunsets_round_the_world_are_those_of_another_library() {
    // Degrees north and east, hours from UTC to the date's first moment, hours of the date.
    const SPOTS: [(&str, f64, f64, &str, f64, f64); 5] = [
        ("south", -45.0, 100.0, "2031-12-20", -7.0, 24.0),
        ("equator", 0.0, -30.0, "2031-06-20", 2.0, 24.0),
        ("by the date line", 20.0, 179.9, "2031-03-20", -12.0, 24.0),
        ("when clocks go back", 47.0, 10.0, "2031-10-26", -2.0, 25.0),
        ("far north", 67.0, 20.0, "2031-04-20", -2.0, 24.0),
    ];
    let mut worst = Worst::default();
    for (name, latitude, longitude, date, start_h, hours) in SPOTS {
        let spot = SpotForm { longitude_deg: Some(longitude), ..heron_weir(latitude, 0.0) };
        let start = day("UTC", date).start().plus_seconds(start_h * 3600.0);
        let day = Span::new(start, start.plus_seconds(hours * 3600.0)).unwrap();
        let evening = RunSheet::new(&Plan { day, ..plan(&spot, date, Part::Evening) }).unwrap();
        let sunset = row(&evening, Kind::Sunset).at;
        assert!(day.contains(sunset), "{name}");

        let location = Location { latitude, longitude };
        let events = SolarEvents::new()
            .for_date(civil_date(date).unwrap(), &Utc, location, 69.3, Horizon::Custom(-0.8333))
            .unwrap();
        let theirs =
            events.sets.iter().map(|set| Instant::from_epoch_ms(set.timestamp_micros() as f64 / 1e3));
        let theirs = theirs.map(Result::unwrap).find(|&set| day.contains(set)).unwrap();
        worst.note(sunset.seconds_after(theirs), name);
    }
    // Its own worst against DE421 on ordinary days is 0.42 s.
    worst.within("sunsets by solar-positioning, seconds", 0.5);
}

#[test]
fn what_was_guessed_is_said_and_what_was_metered_is_not() {
    let spot = heron_weir(44.0, 0.0);
    let guess = sheet(&spot, "2031-10-05", Part::Evening);
    assert!(guess.assumptions.contains(&Assumption::LampsGuessed));
    let mut known = plan(&spot, "2031-10-05", Part::Evening);
    known.conditions.scene = Scene::Lit(Ev::at_iso_100(4.0));
    let known = RunSheet::new(&known).unwrap();
    assert!(!known.assumptions.contains(&Assumption::LampsGuessed));
    assert!(known.assumptions.contains(&Assumption::NoReadings));
}

#[test]
fn a_step_that_is_no_step_is_refused() {
    for stops in [0.0, -1.0, 0.09, f64::NAN] {
        let bad =
            Plan { step: Stops::new(stops), ..plan(&heron_weir(44.0, 0.0), "2031-10-05", Part::Evening) };
        assert_eq!(RunSheet::new(&bad).map(drop).unwrap_err().field(), "stepStops");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_place_and_date_has_a_sheet_in_order(
        lat in -90.0..=90.0_f64, lon in -180.0..=180.0_f64, skyline in -5.0..=60.0, bearing in 0.0..360.0,
        days in 0_u32..36_500, evening: bool, walk in 0.0..=1440.0, scene in 0_usize..5, stops in 0.1..3.0,
        from_hours in proptest::option::of(-30.0..60.0_f64),
    ) {
        let spot = SpotForm {
            longitude_deg: Some(lon), bearing_deg: Some(bearing), walk_min: Some(walk), zone: "UTC".to_owned(),
            ..heron_weir(lat, skyline)
        };
        let date = civil_date("1950-01-01").unwrap() + chrono::Days::new(days.into());
        let mut plan = plan(&spot, &date.to_string(), if evening { Part::Evening } else { Part::Morning });
        plan.conditions.scene =
            [Scene::Street, Scene::Skyline, Scene::Floodlit, Scene::Unlit, Scene::Lit(Ev::at_iso_100(16.0))][scene];
        plan.step = Stops::new(stops);
        plan.from = from_hours.map(|hours| plan.day.start().plus_seconds(hours * 3600.0));
        let sheet = RunSheet::new(&plan).unwrap();
        prop_assert!(sheet.rows.windows(2).all(|pair| pair[0].at <= pair[1].at));
        prop_assert!(sheet.rows.len() < 250, "{} rows", sheet.rows.len());
        let arrival = sheet.rows.iter().find(|row| row.kind == Kind::BeThere).map(|row| row.at);
        for row in &sheet.rows {
            prop_assert!(sheet.span.contains(row.at));
            prop_assert!(row.light.low < row.light.ev && row.light.ev < row.light.high, "{:?}", row);
            prop_assert!(row.end.is_none_or(|end| end >= row.at));
            prop_assert_eq!(row.setting.is_some(), arrival.is_none_or(|arrival| row.at >= arrival));
            prop_assert!(row.setting.is_none_or(|held| held.residual.count().is_finite()));
            if row.kind == Kind::LightEnds {
                prop_assert!(arrival.is_some_and(|arrival| arrival <= row.at));
            }
        }
        prop_assert!(sheet.curve.len() <= 722);
        prop_assert!(sheet.curve.windows(2).all(|pair| pair[0].at <= pair[1].at));
        prop_assert_eq!(sheet.curve[0].at, sheet.span.start());
        prop_assert_eq!(sheet.curve[sheet.curve.len() - 1].at, sheet.span.end());
        let [out, there] = [Kind::SetOut, Kind::BeThere]
            .map(|kind| sheet.rows.iter().filter(|row| row.kind == kind).count());
        prop_assert!(out == there && (there == 1 || there == 0 && sheet.anchor == Kind::LowestLight));
        prop_assert!(there == 0 || !sheet.assumptions.contains(&Assumption::LampsOnly));
    }
}

/// The evening or morning of an equinox at 44° N over a surveyed skyline.
fn surveyed(profile: &[[f64; 2]], part: Part) -> RunSheet {
    let spot = heron_weir(44.0, 5.0);
    let skyline = Some(Skyline::new(profile, Length::from_metres(0.0)).unwrap());
    RunSheet::new(&Plan { skyline, ..plan(&spot, "2031-03-20", part) }).unwrap()
}

#[test]
fn a_surveyed_skyline_of_one_altitude_is_the_flat_one() {
    for part in [Part::Evening, Part::Morning] {
        let flat = row(&sheet(&heron_weir(44.0, 5.0), "2031-03-20", part), Kind::Skyline);
        let level = row(&surveyed(&[[0.0, 5.0]], part), Kind::Skyline);
        // The disc's upper half is flattened by the air, which the flat skyline leaves out: 0.3′ at 5°.
        assert!(level.at.seconds_after(flat.at).abs() < 5.0, "{part:?}: {level:?} {flat:?}");
        assert!(surveyed(&[[0.0, 5.0]], part).assumptions.contains(&Assumption::SurveyedSkyline));
    }
}

#[test]
fn a_gap_in_the_skyline_shows_the_sun_once_more() {
    // The equinox sun comes down through 6° at 264° and through 3° at 267°: into a gap between two buildings.
    let gap = [[200.0, 6.5], [264.6, 6.5], [264.6, 2.0], [266.6, 2.0], [266.6, 6.5], [330.0, 6.5]];
    let evening = surveyed(&gap, Part::Evening);
    let told: Vec<&str> =
        kinds(&evening).into_iter().filter(|word| ["skyline", "gap", "sunset"].contains(word)).collect();
    assert_eq!(told, ["skyline", "gap", "skyline", "sunset"]);
    let mirrored: Vec<[f64; 2]> =
        gap.iter().map(|[azimuth, altitude]| [360.0 - azimuth, *altitude]).collect();
    let morning = surveyed(&mirrored, Part::Morning);
    let told: Vec<&str> =
        kinds(&morning).into_iter().filter(|word| ["skyline", "gap", "sunrise"].contains(word)).collect();
    assert_eq!(told, ["sunrise", "skyline", "gap", "skyline"]);
    // A tower in the early afternoon is no part of the evening.
    let early: Vec<[f64; 2]> =
        [[200.0, 0.0], [210.0, 0.0], [210.0, 60.0], [220.0, 60.0], [220.0, 0.0]].into();
    assert_eq!(kinds(&surveyed(&early, Part::Evening)).iter().filter(|word| **word == "gap").count(), 0);
}

#[test]
fn a_reading_says_what_it_changed_and_another_evening_starts_from_its_lesson() {
    let spot = heron_weir(44.0, 1.5);
    let unread = plan(&spot, "2031-10-05", Part::Evening);
    let before = RunSheet::new(&unread).unwrap();
    assert_eq!(Shift::since_last_reading(&unread, &before), Ok(None));
    assert_eq!(before.light.lesson(), None);
    let at = |kind| before.rows.iter().find(|row| row.kind == kind).unwrap().at;
    let read = |at: Instant, brighter: f64| {
        Reading::new(at, before.light.at(at).ev.value() + brighter, Intent::Frame).unwrap()
    };
    // A stop and a half brighter in twilight; given out of order, the later one is the last.
    let readings = vec![read(at(Kind::Civil), 1.5), read(at(Kind::Sunset), 1.5)];
    let one = Plan { readings: readings[1..].to_vec(), ..unread.clone() };
    let two = Plan { readings, ..unread.clone() };
    let (first, second) = (RunSheet::new(&one).unwrap(), RunSheet::new(&two).unwrap());
    let shift = Shift::since_last_reading(&one, &first).unwrap().unwrap();
    println!("{shift:?}");
    assert_eq!(shift.at, at(Kind::Sunset));
    assert!((shift.light.count() - 1.5).abs() < 0.1, "{shift:?}");
    let balance = |sheet: &RunSheet| sheet.balance.unwrap().at;
    assert_eq!(shift.balance_s, Some(balance(&first).seconds_after(balance(&before))));
    assert!(
        shift.balance_s.unwrap() > 30.0 && shift.border_s.unwrap() > 30.0,
        "brighter, so later: {shift:?}"
    );
    // The next row is later by what the light takes to fall as far.
    let fall = {
        let next = first.rows.iter().find(|row| row.kind == Kind::Dial && row.at > shift.at).unwrap();
        let old =
            before.rows.iter().find(|row| row.kind == Kind::Dial && row.light.ev == next.light.ev).unwrap();
        next.at.seconds_after(old.at)
    };
    assert_eq!(shift.next_row_s, Some(fall));
    assert!(fall > 120.0, "{fall}");
    let last = Shift::since_last_reading(&two, &second).unwrap().unwrap();
    assert_eq!(last.at, at(Kind::Civil));
    let said = second.light.findings();
    assert!(said.brighter.mean > 0.8 && said.brighter.half_band() < 1.2 && !said.floor_known, "{said:?}");

    let lesson = second.light.lesson().unwrap();
    let next = Plan { lesson: Some(lesson), ..plan(&spot, "2031-10-06", Part::Evening) };
    let next = RunSheet::new(&next).unwrap();
    let ev = |sheet: &RunSheet| sheet.rows.iter().find(|row| row.kind == Kind::Sunset).unwrap().light;
    let (taught, plain) = (ev(&next), ev(&before));
    assert!(taught.ev > plain.ev + Stops::new(0.5), "{taught:?} {plain:?}");
    assert!((taught.high - taught.low).count() < 0.6 * (plain.high - plain.low).count());
    assert!(!next.assumptions.contains(&Assumption::NoReadings));
    assert_eq!(next.light.findings().evenings, 1.0);
    assert_eq!(next.light.findings().brighter.mean, 0.0);
}
