//! The functions of the wasm, like beside like.
//!
//! gzip finds what is repeated within the last 32 KB, and the library is many times as long. Linked, its functions stand by
//! size; laid so that each is followed by the one that has most in common with the last few, the file is a
//! twenty-fifth smaller in gzip. Nothing in a function changes but the numbers of those that it calls.

use std::collections::HashMap;
use std::convert::Infallible;

use anyhow::{Context, Result, anyhow};
use wasm_encoder::reencode::{Error, Reencode};
use wasm_encoder::{CodeSection, FunctionSection, Module};
use wasmparser::{
    CodeSectionReader, CustomSectionReader, FunctionBody, FunctionSectionReader, Parser, Payload, TypeRef,
};

use crate::size::gzip;

/// How likeness is judged.
struct Judging {
    /// Bytes that two functions must have in common at a place for that to count.
    piece: usize,
    /// How many of the last functions the next one is compared with.
    last: usize,
    /// How much less each earlier one counts.
    earlier: f64,
    /// Pieces added to a function's own, so that tiny ones do not always win.
    small: f64,
}

/// Which is best changes with the library, so all are tried.
const TRIED: [Judging; 7] = [
    Judging { piece: 4, last: 12, earlier: 0.1, small: 120.0 },
    Judging { piece: 4, last: 30, earlier: 0.05, small: 60.0 },
    Judging { piece: 4, last: 40, earlier: 0.1, small: 30.0 },
    Judging { piece: 5, last: 20, earlier: 0.05, small: 30.0 },
    Judging { piece: 5, last: 40, earlier: 0.15, small: 60.0 },
    Judging { piece: 5, last: 40, earlier: 0.2, small: 120.0 },
    Judging { piece: 6, last: 40, earlier: 0.05, small: 120.0 },
];

/// A piece in more functions than this says nothing about which belong together.
const COMMON: usize = 900;

/// The same library with its functions in the order that compresses best, and without sections that no engine reads.
///
/// # Errors
/// The bytes are no wasm.
pub fn ordered(wasm: &[u8]) -> Result<Vec<u8>> {
    let (mut imported, mut bodies) = (0, Vec::new());
    for payload in Parser::new(0).parse_all(wasm) {
        match payload? {
            Payload::ImportSection(imports) => {
                for import in imports.into_imports() {
                    imported += u32::from(matches!(import?.ty, TypeRef::Func(_)));
                }
            }
            Payload::CodeSectionEntry(body) => bodies.push(&wasm[body.range()]),
            _ => {}
        }
    }
    let mut best: Option<(usize, Vec<u8>)> = None;
    for judging in &TRIED {
        let module = written(wasm, imported, like_by_like(&bodies, judging))?;
        let size = gzip(&module)?.len();
        if best.as_ref().is_none_or(|(least, _)| size < *least) {
            best = Some((size, module));
        }
    }
    best.map(|(_, module)| module).context("nothing is tried")
}

/// The library with its functions in this order.
fn written(wasm: &[u8], imported: u32, order: Vec<usize>) -> Result<Vec<u8>> {
    let mut places = vec![0; order.len()];
    for (place, old) in order.iter().enumerate() {
        places[*old] = place as u32;
    }
    let mut module = Module::new();
    Order { imported, olds: order, places }
        .parse_core_module(&mut module, Parser::new(0), wasm)
        .map_err(|refused| anyhow!("the wasm cannot be ordered: {refused}"))?;
    Ok(module.finish())
}

/// The order of functions in which each is like the last few; the longest begins.
fn like_by_like(bodies: &[&[u8]], judging: &Judging) -> Vec<usize> {
    let (pieces, holders) = pieces_of(bodies, judging.piece);
    let mut left = vec![true; bodies.len()];
    let mut order: Vec<usize> = Vec::with_capacity(bodies.len());
    let mut score = vec![0.0_f64; bodies.len()];
    let mut seen = vec![usize::MAX; holders.len()];
    for round in 0..bodies.len() {
        let mut touched = Vec::new();
        for (age, before) in order.iter().rev().take(judging.last).enumerate() {
            for piece in &pieces[*before] {
                if std::mem::replace(&mut seen[*piece], round) == round {
                    continue;
                }
                for holder in &holders[*piece] {
                    if left[*holder] {
                        if score[*holder] == 0.0 {
                            touched.push(*holder);
                        }
                        score[*holder] += 1.0 / (1.0 + judging.earlier * age as f64);
                    }
                }
            }
        }
        let rank = |of: usize| score[of] / (pieces[of].len() as f64 + judging.small);
        let nearest = touched.iter().copied().max_by(|a, b| rank(*a).total_cmp(&rank(*b)).then(b.cmp(a)));
        let longest = || {
            (0..bodies.len()).filter(|of| left[*of]).max_by_key(|of| (bodies[*of].len(), bodies.len() - of))
        };
        let Some(next) = nearest.or_else(longest) else { break };
        for of in touched {
            score[of] = 0.0;
        }
        left[next] = false;
        order.push(next);
    }
    order
}

/// The telling pieces of each function, and the functions that hold each piece.
fn pieces_of(bodies: &[&[u8]], length: usize) -> (Vec<Vec<usize>>, Vec<Vec<usize>>) {
    let mut numbers: HashMap<&[u8], usize> = HashMap::new();
    let mut holders: Vec<Vec<usize>> = Vec::new();
    for (of, body) in bodies.iter().enumerate() {
        for piece in body.windows(length) {
            let number = *numbers.entry(piece).or_insert(holders.len());
            if number == holders.len() {
                holders.push(Vec::new());
            }
            if holders[number].last() != Some(&of) {
                holders[number].push(of);
            }
        }
    }
    let mut pieces = vec![Vec::new(); bodies.len()];
    for (number, of) in holders.iter().enumerate() {
        if of.len() > 1 && of.len() < COMMON {
            for body in of {
                pieces[*body].push(number);
            }
        }
    }
    (pieces, holders)
}

/// Writes a module anew with its own functions in another order.
struct Order {
    /// Functions from outside, which come first and stay.
    imported: u32,
    /// The old place of the function at each new one.
    olds: Vec<usize>,
    /// The new place of the function at each old one.
    places: Vec<u32>,
}

impl Reencode for Order {
    type Error = Infallible;

    fn function_index(&mut self, function: u32) -> std::result::Result<u32, Error> {
        Ok(match function.checked_sub(self.imported) {
            Some(own) => self.imported + self.places[own as usize],
            None => function,
        })
    }

    fn parse_function_section(
        &mut self,
        functions: &mut FunctionSection,
        section: FunctionSectionReader<'_>,
    ) -> std::result::Result<(), Error> {
        let types = section.into_iter().collect::<std::result::Result<Vec<u32>, _>>()?;
        for old in &self.olds {
            functions.function(types[*old]);
        }
        Ok(())
    }

    fn parse_code_section(
        &mut self,
        code: &mut CodeSection,
        section: CodeSectionReader<'_>,
    ) -> std::result::Result<(), Error> {
        let bodies = section.into_iter().collect::<std::result::Result<Vec<FunctionBody<'_>>, _>>()?;
        for old in self.olds.clone() {
            self.parse_function_body(code, bodies[old].clone())?;
        }
        Ok(())
    }

    fn parse_custom_section(
        &mut self,
        _: &mut Module,
        _: CustomSectionReader<'_>,
    ) -> std::result::Result<(), Error> {
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use wasm_encoder::{
        CustomSection, EntityType, ExportKind, ExportSection, Function, ImportSection, TypeSection, ValType,
    };

    #[test]
    fn like_stands_beside_like_and_the_longest_begins() {
        let bodies: [&[u8]; 5] = [b"12345678", b"abcdefghi", b"1234567890", b"zz", b"abcdefgh"];
        let judging = Judging { piece: 4, last: 3, earlier: 0.1, small: 30.0 };
        assert_eq!(like_by_like(&bodies, &judging), [2, 0, 1, 4, 3]);
    }

    #[test]
    fn whoever_called_a_function_calls_it_still() {
        let mut types = TypeSection::new();
        types.ty().function([], [ValType::I32]);
        types.ty().function([], []);
        let mut imports = ImportSection::new();
        imports.import("a", "b", EntityType::Function(1));
        let mut functions = FunctionSection::new();
        let mut code = CodeSection::new();
        for (kind, value) in [(0, 7), (0, 70_000), (0, 8)] {
            functions.function(kind);
            let mut body = Function::new([]);
            body.instructions().call(0).i32_const(value).end();
            code.function(&body);
        }
        functions.function(0);
        let mut body = Function::new([]);
        body.instructions().call(1).end();
        code.function(&body);
        let mut exports = ExportSection::new();
        exports.export("seven", ExportKind::Func, 1).export("asks", ExportKind::Func, 4);
        let mut module = Module::new();
        module.section(&types).section(&imports).section(&functions).section(&exports).section(&code);
        module.section(&CustomSection { name: "note".into(), data: (&[1, 2][..]).into() });
        let (before, after) = (module.clone().finish(), ordered(&module.finish()).unwrap());
        assert!(after.len() < before.len());

        // The body that an export names, and then the body that the call in it names.
        let mut bodies = Vec::new();
        let mut named = HashMap::new();
        for payload in Parser::new(0).parse_all(&after) {
            match payload.unwrap() {
                Payload::CodeSectionEntry(body) => bodies.push(after[body.range()].to_vec()),
                Payload::ExportSection(exports) => {
                    named
                        .extend(exports.into_iter().map(|export| export.unwrap()).map(|e| (e.name, e.index)));
                }
                _ => {}
            }
        }
        let body = |index: u32| &bodies[index as usize - 1];
        assert_eq!(body(named["seven"])[1..], [0x10, 0, 0x41, 7, 0x0b]);
        let asks = body(named["asks"]);
        assert_eq!(body(u32::from(asks[2]))[1..], [0x10, 0, 0x41, 7, 0x0b]);
        assert_ne!(bodies[0][1..], [0x10, 0, 0x41, 7, 0x0b], "nothing moved");
        assert!(ordered(b"no wasm").is_err());
    }
}
