//! Texts as bad as texts can be, for the checks of everything that reads one: arbitrary, odd, or good and then damaged.

use proptest::prelude::*;
use proptest::sample::select;

/// What readers trip over: names of another language's own, words for numbers that are none, marks of markup, escapes cut
/// short, letters that change their length in another case, that turn the line round or that cannot be seen.
pub(crate) const ODD: [&str; 40] = [
    "__proto__",
    "constructor",
    "toString",
    "NaN",
    "Infinity",
    "-inf",
    "1e999",
    "-0",
    "0x10",
    "99999999999999999999999999999999999999999",
    "0.00000000000000000000000000000000000000001",
    "1,5",
    "٣",
    "½",
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "]]>",
    "&#0;",
    "&amp;",
    "%",
    "%00",
    "%FF",
    "%F0%9F",
    "+",
    "=1+1",
    "\"",
    "''",
    "\\",
    "\0",
    "\r\n",
    "\u{85}\u{2028}",
    "\u{feff}",
    "\u{202e}",
    "\u{200d}",
    "e\u{301}\u{301}\u{301}\u{301}",
    "İ",
    "ẞﬀ",
    "🌘",
    "\u{ffff}",
    "[[[[[[[[[[[[[[[[[[[[{",
];

/// Any text, an odd one, or one of many brackets.
pub(crate) fn odd() -> impl Strategy<Value = String> {
    prop_oneof![
        3 => select(&ODD[..]).prop_map(String::from),
        1 => any::<String>(),
        1 => (select(&ODD[..]), 0..300_usize).prop_map(|(text, times)| text.repeat(times)),
    ]
}

/// One of some good texts with up to four faults: cut, a piece doubled, taken out or put elsewhere, something odd put
/// in or over a piece.
pub(crate) fn damaged(good: &'static [&'static str]) -> impl Strategy<Value = String> {
    let fault = (0..6_u8, any::<u32>(), any::<u32>(), odd());
    (select(good), proptest::collection::vec(fault, 0..5)).prop_map(|(text, faults)| {
        let mut letters: Vec<char> = text.chars().collect();
        for (kind, from, long, odd) in faults {
            let from = from as usize % (letters.len() + 1);
            let to = from + long as usize % (letters.len() - from + 1).min(40);
            match kind {
                0 => letters.truncate(from),
                1 => {
                    let piece = letters[from..to].to_vec();
                    letters.splice(from..from, piece);
                }
                2 => drop(letters.drain(from..to)),
                3 => {
                    let piece: Vec<char> = letters.drain(from..to).collect();
                    let at = long as usize % (letters.len() + 1);
                    letters.splice(at..at, piece);
                }
                4 => drop(letters.splice(from..from, odd.chars())),
                _ => drop(letters.splice(from..to, odd.chars())),
            }
        }
        letters.into_iter().collect()
    })
}

#[test]
fn a_text_is_damaged_in_every_way() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    const GOOD: &str = "abcdefghijklmnopqrstuvwxyz";
    let mut runner = TestRunner::default();
    let texts: Vec<String> =
        (0..400).map(|_| damaged(&[GOOD]).new_tree(&mut runner).unwrap().current()).collect();
    let some = |is: &dyn Fn(&str) -> bool| texts.iter().any(|text| is(text));
    assert!(some(&|text| text == GOOD) && some(&|text| GOOD.starts_with(text) && text.len() < 20));
    assert!(some(&|text| text.contains("__proto__")) && some(&|text| text.len() > 500));
    assert!(some(&|text| text.len() == 26 && text != GOOD && text.chars().all(|c| GOOD.contains(c))));
}
