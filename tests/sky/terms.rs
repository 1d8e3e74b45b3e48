//! The generated tables are the ones of `sky_terms.csv`.

use crate::data::table;

/// The numbers of a Rust source, as they are written, comments left out.
fn numbers(source: &str) -> Vec<String> {
    let code: String = source.lines().filter(|line| !line.trim_start().starts_with("//")).collect();
    let body = code.split_once("const ").map_or("", |(_, body)| body).to_owned();
    body.split(|c: char| "[], ;()&".contains(c))
        .filter(|word| word.parse::<f64>().is_ok())
        .map(str::to_owned)
        .collect()
}

/// A longitude of 1e-4 radians and more within a tenth of a millennium of 2000, as `sky_terms.py` tells them.
fn is_large(row: &[String]) -> bool {
    let [amplitude, power] = [&row[2], &row[1]].map(|cell| cell.parse::<f64>().unwrap());
    row[0] == "L" && amplitude * 0.1_f64.powf(power) >= 1e-4
}

#[test]
fn the_series_in_the_sources_are_those_of_the_table() {
    let rows = table("sky_terms.csv", 262);
    for (source, names) in [
        (include_str!("../../src/sky/sun_terms.rs"), &["L", "B", "R"][..]),
        (include_str!("../../src/sky/nutation_terms.rs"), &["PSI", "EPSILON"]),
    ] {
        let of_names = names.iter().flat_map(|name| rows.iter().filter(move |row| row[0] == **name));
        // The largest longitudes stand before the others; all keep their order.
        let (mut expected, rest): (Vec<_>, Vec<_>) = of_names.partition(|row| is_large(row));
        expected.extend(rest);
        let expected: Vec<String> = expected.into_iter().flat_map(|row| row[2..].to_vec()).collect();
        assert!(expected.len() > 50);
        let written = numbers(source);
        assert_eq!(written, expected);
    }
}

#[test]
fn the_lag_in_the_source_is_that_of_the_table() {
    let rows = table("sky_terms.csv", 262);
    let expected: Vec<String> = rows
        .iter()
        .filter(|row| row[0] == "DELTA_T")
        .map(|row| format!("{:.2}", row[2].parse::<f64>().unwrap()))
        .collect();
    let written = numbers(include_str!("../../src/sky/delta_t_terms.rs"));
    assert_eq!(written[written.len() - expected.len()..], expected);
}

#[test]
fn the_moons_terms_in_the_source_are_those_of_the_table() {
    let rows = table("sky_moon_terms.csv", 249);
    let of = |kind: &str, name: &str| -> Vec<String> {
        let own = rows.iter().filter(|row| row[0] == kind && (name.is_empty() || row[1] == name));
        own.flat_map(|row| match kind {
            "moon" => [row[3].as_str()].into_iter().chain(row[2].split(' ')).map(str::to_owned).collect(),
            _ => row[2..5]
                .iter()
                .map(|cell| if cell.contains(['.', 'e']) { cell.clone() } else { format!("{cell}.0") })
                .collect::<Vec<_>>(),
        })
        .collect()
    };
    // Of the arguments' type.
    let mut expected = vec!["3".to_owned(), "4".to_owned()];
    expected.extend(of("argument", ""));
    for kind in ["moon", "planet"] {
        for name in ["L", "B", "R"] {
            let terms = of(kind, name);
            assert!(terms.len() >= 12);
            expected.extend(terms);
        }
    }
    assert_eq!(numbers(include_str!("../../src/sky/moon_terms.rs")), expected);
}
