//! Numbers as people write them: a sign, digits, a point; no exponents.
//!
//! The standard library reads and prints every double to its last bit, with tables and long arithmetic that would
//! be a tenth of what a phone downloads. What a person types has at most fifteen significant digits, and those
//! survive reading and writing exactly with one rounding division; more digits are read to within a unit in a
//! double's last place.

/// The most digits that are carried; 10^17 still fits a 64-bit integer with one digit to spare.
const CARRIED: u64 = 100_000_000_000_000_000;

/// Powers of ten up to this one are exact in a double.
const EXACT_TENS: i32 = 22;

/// The number that a text spells, spaces around it aside. `None` for anything else, exponents and words included.
pub(crate) fn read(text: &str) -> Option<f64> {
    let text = text.trim();
    let (negative, digits) = match text.as_bytes() {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] => (false, rest),
        all => (false, all),
    };
    let (mut carried, mut tens, mut point, mut any) = (0_u64, 0_i32, false, false);
    for &byte in digits {
        match byte {
            b'.' if !point => point = true,
            b'0'..=b'9' => {
                any = true;
                let room = carried < CARRIED && tens > -EXACT_TENS;
                if room {
                    carried = carried * 10 + u64::from(byte - b'0');
                }
                tens += i32::from(!room) - i32::from(point);
            }
            _ => return None,
        }
    }
    let size = carried as f64;
    let value = if tens < 0 { size / 10_f64.powi(-tens) } else { size * 10_f64.powi(tens) };
    any.then_some(if negative { -value } else { value })
}

/// The shortest text that spells a number to fifteen significant digits.
pub(crate) fn written(value: f64) -> String {
    let size = value.abs();
    if !size.is_finite() {
        return if size.is_nan() { "NaN" } else { "infinite" }.to_owned();
    }
    if size >= 1e15 {
        let tens = size.log10().floor();
        return format!(
            "{}e{}",
            written((value / 10_f64.powi(tens as i32) * 1e6).round() / 1e6),
            tens as i32
        );
    }
    let before_point = if size < 1.0 { 0 } else { size.log10().floor() as i32 + 1 };
    rounded(value, (15 - before_point).max(0) as usize)
}

/// A number below 10^15 in size, rounded to so many decimals (at most 18), without trailing zeros.
pub(crate) fn rounded(value: f64, places: usize) -> String {
    let scale = 10_f64.powi(places.min(18) as i32);
    let scaled = (value.abs() * scale).round() as u64;
    let unit = scale as u64;
    let (whole, part) = (scaled / unit, scaled % unit);
    let sign = if value < 0.0 && scaled > 0 { "-" } else { "" };
    if part == 0 {
        return format!("{sign}{whole}");
    }
    let part = format!("{part:0places$}");
    format!("{sign}{whole}.{}", part.trim_end_matches('0'))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::damage::{damaged, odd};
    use proptest::prelude::*;

    #[test]
    fn only_plain_numbers_are_read() {
        for (text, value) in
            [("36", 36.0), (" -4.50 ", -4.5), ("+.5", 0.5), ("7.", 7.0), ("007", 7.0), ("-0", 0.0)]
        {
            assert_eq!(read(text), Some(value), "{text}");
        }
        for text in ["", "-", ".", "1e3", "NaN", "inf", "1.2.3", "1,5", "0x10", "1 2", "--1", "٣"] {
            assert_eq!(read(text), None, "{text}");
        }
    }

    #[test]
    fn long_texts_are_read_as_the_standard_library_does_within_a_unit_in_the_last_place() {
        for text in [
            "3.14159265358979323846264338327950288",
            "0.000000000000000000000000001",
            "123456789012345678901234567890",
        ] {
            let (ours, exact) = (read(text).unwrap(), text.parse::<f64>().unwrap());
            assert!((ours - exact).abs() <= exact * f64::EPSILON || exact < 1e-22, "{text}: {ours} {exact}");
        }
        assert_eq!(read(&"9".repeat(400)), Some(f64::INFINITY));
    }

    #[test]
    fn numbers_are_written_short() {
        for (value, text) in [
            (91.0, "91"),
            (-0.8333, "-0.8333"),
            (0.1 + 0.2, "0.3"),
            (1.0 / 3.0, "0.333333333333333"),
            (0.0, "0"),
            (-0.0, "0"),
            (1e18, "1e18"),
            (-2.5e300, "-2.5e300"),
            (999_999_999_999_999.0, "999999999999999"),
            (f64::NAN, "NaN"),
        ] {
            assert_eq!(written(value), text);
        }
        assert_eq!(
            (rounded(2.449, 1), rounded(5.96, 1), rounded(-0.04, 1)),
            ("2.4".into(), "6".into(), "0".into())
        );
    }

    proptest! {
        #[test]
        fn up_to_fifteen_digits_come_back_exactly(digits in 0_u64..1_000_000_000_000_000, places in 0_usize..=15) {
            let padded = format!("{digits:0width$}", width = places + 1);
            let (whole, part) = padded.split_at(padded.len() - places);
            let text = format!("{whole}.{part}");
            let exact: f64 = text.parse().unwrap();
            prop_assert_eq!(read(&text), Some(exact));
            prop_assert_eq!(read(&written(exact)), Some(exact));
        }

        /// The standard library is the reference for plain numbers of any length.
        #[test]
        fn no_text_breaks_the_reader(
            plain in "[+-]?[0-9]{0,40}(\\.[0-9]{0,40})?", strange in odd(),
            near in damaged(&["-4.50", "+.5", "007.", "123456789012345678901234567890"]), number: f64,
        ) {
            let read_plain = read(&plain);
            let exact = plain.parse::<f64>().ok();
            prop_assert_eq!(read_plain.is_some(), exact.is_some());
            if let (Some(ours), Some(exact)) = (read_plain, exact) {
                let close = (ours - exact).abs() <= 2.0 * f64::EPSILON * exact.abs();
                prop_assert!(close || exact.abs() < 1e-4, "{} as {}", plain, ours);
            }
            for text in [strange, near] {
                prop_assert!(read(&text).is_none_or(|value| !value.is_nan()));
            }
            let again = read(&written(number));
            prop_assert!(again.is_none_or(|value| (value - number).abs() <= 1e-14 * number.abs() + 1e-15));
        }
    }
}
