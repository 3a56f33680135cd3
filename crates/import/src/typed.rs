//! Lines as somebody types them from a sheet: `1 4 7-9: switchgrass`.
//!
//! In: lines of text. Out: for each line the cells or the number of plants, what was found, and for
//! an unknown what it looks like; or what is wrong with the line and how to mend it.
//! A line may also begin with the name: `switchgrass: 1 4 7-9`. `unknown 2, hairy, flat base: 3`
//! describes an unknown. Empty lines are passed over.

use std::collections::BTreeSet;

use standbook_key::fault::short;

use crate::Fault;
use crate::names::Names;
use crate::sheet::Mark;

/// What stands in a line.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Found {
    /// A taxon of the key, by id.
    Taxon(String),
    /// An unknown by number, and what it looks like; empty where the line does not say.
    Unknown(u32, String),
}

/// How much of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Amount {
    /// Cells, from 1.
    Cells(BTreeSet<u32>),
    /// Plants in a quadrat or along a row.
    Plants(u32),
}

/// One line of a sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// From 1.
    pub line: usize,
    /// What was found.
    pub found: Found,
    /// How much.
    pub amount: Amount,
}

impl Line {
    /// What it is of, without what an unknown looks like.
    pub fn mark(&self) -> Mark {
        match &self.found {
            Found::Taxon(id) => Mark::Taxon(id.clone()),
            Found::Unknown(number, _) => Mark::Unknown(*number),
        }
    }
}

/// What a sheet's numbers are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Counted {
    /// Cells of a grid with so many.
    Cells(u32),
    /// Plants, at most so many.
    Plants(u32),
}

/// Reads the lines of a sheet.
///
/// # Errors
/// Every line that can't be read, with what to write instead.
pub fn lines(text: &str, counted: Counted, names: &Names) -> Result<Vec<Line>, Vec<Fault>> {
    let mut read: Vec<Line> = Vec::new();
    let mut faults = Vec::new();
    for (at, line) in text.lines().enumerate() {
        let (number, line) = (at + 1, line.trim());
        if line.is_empty() {
            continue;
        }
        match one(line, counted, names) {
            Ok((found, amount)) => {
                let line = Line {
                    line: number,
                    found,
                    amount,
                };
                let same = read.iter().find(|other| other.mark() == line.mark());
                match same {
                    Some(other) => faults.push((
                        number,
                        format!(
                            "this stands in line {} already; put both together in one line",
                            other.line
                        ),
                    )),
                    None => read.push(line),
                }
            }
            Err(said) => faults.push((number, said)),
        }
    }
    match faults.is_empty() {
        true => Ok(read),
        false => Err(faults),
    }
}

fn one(line: &str, counted: Counted, names: &Names) -> Result<(Found, Amount), String> {
    let example = match counted {
        Counted::Cells(_) => "1 4 7-9: switchgrass",
        Counted::Plants(_) => "12: switchgrass",
    };
    let Some((left, right)) = line.split_once(':') else {
        return Err(format!("`{}` has no colon; write {example}", short(line)));
    };
    // The name may come first; what has letters is the name.
    let (amount, name) = match left.chars().any(char::is_alphabetic) {
        true => (right, left),
        false => (left, right),
    };
    let name = name.trim();
    if name.is_empty() {
        return Err(format!("there is no name in it; write {example}"));
    }
    let amount = match counted {
        Counted::Cells(most) => Amount::Cells(cells(amount, most)?),
        Counted::Plants(most) => match amount.trim().parse::<u32>() {
            Ok(plants) if (1..=most).contains(&plants) => Amount::Plants(plants),
            _ => {
                return Err(format!(
                    "`{}` is no number of plants from 1 to {most}; write {example}",
                    short(amount.trim())
                ));
            }
        },
    };
    Ok((found(name, names)?, amount))
}

/// What a name on a sheet means: an unknown with its number, or a taxon by the beginning of a name.
fn found(name: &str, names: &Names) -> Result<Found, String> {
    let lower = name.to_lowercase();
    let rest = ["unknown", "unk", "?"].iter().find_map(|word| {
        let rest = lower.strip_prefix(word)?;
        // `unkempt grass` is no unknown.
        (!rest.starts_with(char::is_alphabetic)).then(|| &name[name.len() - rest.len()..])
    });
    let Some(rest) = rest else {
        return Ok(Found::Taxon(names.begun(name)?.to_owned()));
    };
    let rest = rest.trim_start();
    let digits: String = rest.chars().take_while(char::is_ascii_digit).collect();
    let described = rest[digits.len()..]
        .trim_start_matches([',', ' ', '-'])
        .trim();
    match digits.parse::<u32>() {
        Ok(number) if number >= 1 => Ok(Found::Unknown(number, described.to_owned())),
        _ => Err(format!(
            "`{}` has no number; write it as unknown 2, with what it looks like: unknown 2, hairy, flat base",
            short(name)
        )),
    }
}

/// Cells from a list such as `1 4 7-9`, with blanks or commas between.
///
/// # Errors
/// What is no cell of this frame, and how to mend it.
pub fn cells(text: &str, most: u32) -> Result<BTreeSet<u32>, String> {
    let mut found = BTreeSet::new();
    // Dashes of all lengths, and blanks around them, are one thing to somebody who types.
    let text = text.replace(['\u{2013}', '\u{2014}', '\u{2212}'], "-");
    let mut text = text.replace([',', ';', '.'], " ");
    while text.contains(" -") || text.contains("- ") {
        text = text.replace(" -", "-").replace("- ", "-");
    }
    for part in text.split_whitespace() {
        let (first, last) = part.split_once('-').unwrap_or((part, part));
        let cell = |text: &str| {
            let cell = text.parse::<u32>().ok();
            cell.filter(|cell| (1..=most).contains(cell))
                .ok_or_else(|| {
                    format!(
                        "`{}` is no cell from 1 to {most}; write cells as 1 4 7-9",
                        short(text)
                    )
                })
        };
        let (first, last) = (cell(first)?, cell(last)?);
        if last < first {
            return Err(format!("`{part}` runs backwards; write {last}-{first}"));
        }
        for cell in first..=last {
            if !found.insert(cell) {
                return Err(format!(
                    "cell {cell} stands twice in it; write each cell once"
                ));
            }
        }
    }
    match found.is_empty() {
        true => {
            Err("there is no cell in it; write cells as 1 4 7-9, or take the line out".to_owned())
        }
        false => Ok(found),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_list_of_cells() {
        let all = |text| cells(text, 25).unwrap().into_iter().collect::<Vec<_>>();
        assert_eq!(all("1 4 7-9"), [1, 4, 7, 8, 9]);
        assert_eq!(all("25, 3,\t7 \u{2013} 9"), [3, 7, 8, 9, 25]);
        for (bad, said) in [
            ("", "no cell"),
            ("26", "1 to 25"),
            ("0", "1 to 25"),
            ("9-7", "7-9"),
            ("3 1-4", "twice"),
            ("x", "no cell from"),
            ("1-", "no cell from"),
            ("1-2-3", "no cell from"),
            ("99999999999", "no cell from"),
        ] {
            let told = cells(bad, 25).unwrap_err();
            assert!(told.contains(said), "{bad}: {told}");
        }
    }
}
