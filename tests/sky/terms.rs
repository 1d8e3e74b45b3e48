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

#[test]
fn the_series_in_the_sources_are_those_of_the_table() {
    let rows = table("sky_terms.csv", 262);
    for (source, names) in [
        (include_str!("../../src/sky/sun_terms.rs"), &["L", "B", "R"][..]),
        (include_str!("../../src/sky/nutation_terms.rs"), &["PSI", "EPSILON"]),
    ] {
        let of_names = names.iter().flat_map(|name| rows.iter().filter(move |row| row[0] == **name));
        let mut expected: Vec<Vec<String>> = of_names.map(|row| row[2..].to_vec()).collect();
        assert!(expected.len() > 15);
        // The largest longitudes stand before the others.
        let mut written: Vec<Vec<String>> = numbers(source).chunks(3).map(<[_]>::to_vec).collect();
        expected.sort();
        written.sort();
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
