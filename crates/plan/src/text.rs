//! Corners typed as text, one a line.
//!
//! In: text as people write it or paste it from a map or a receiver. Out: corners, or every bad
//! line with its number.
//!
//! Units: degrees WGS 84, latitude first; minutes and seconds are sixtieths.
//!
//! Not here: whether the corners make a sound outline (`area`), metres of a map grid.

use crate::Corner;

/// The most lines looked at.
const MOST_LINES: usize = 20_000;
/// Bad lines shown at once.
const MOST_FAULTS: usize = 20;

/// A line that is no corner.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("line {line}: {problem}")]
pub struct LineFault {
    /// From 1.
    pub line: usize,
    /// What is wrong and how to mend it.
    pub problem: String,
}

/// Every bad line, or the first 20; never empty. Shown: a line for each.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
pub struct TextFaults(pub Vec<LineFault>);

/// Reads corners, one a line, latitude first: `40.1234, -96.5678`, `40.1234 N 96.5678 W`,
/// `40°07'24"N 96°34'04"W`, `N 40 7.4; W 96 34.1`. With both hemispheres said, longitude may come
/// first. Commas are decimal points where a semicolon or tab parts the two. Empty lines and lines
/// that start with `#` are passed over.
///
/// # Errors
/// Every bad line with its number, and text without any corner.
pub fn corners_from_text(text: &str) -> Result<Vec<Corner>, TextFaults> {
    let mut corners = Vec::new();
    let mut faults = Vec::new();
    for (index, line) in text.lines().enumerate() {
        let line = line.trim_start_matches('\u{feff}').trim();
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        let read = if corners.len() >= MOST_LINES {
            Err(format!("more than {MOST_LINES} corners: give fewer"))
        } else {
            corner(line)
        };
        match read {
            Ok(corner) => corners.push(corner),
            Err(problem) => faults.push(LineFault {
                line: index + 1,
                problem,
            }),
        }
        if faults.len() == MOST_FAULTS {
            break;
        }
    }
    if corners.is_empty() && faults.is_empty() {
        faults.push(LineFault {
            line: 1,
            problem: "no corner: give one a line, such as 40.1234, -96.5678".to_owned(),
        });
    }
    if faults.is_empty() {
        Ok(corners)
    } else {
        Err(TextFaults(faults))
    }
}

/// A corner as [`corners_from_text`] reads it, `40.1234567, -96.5678901`: 7 digits, about 1 cm.
pub fn corner_to_text(corner: Corner) -> String {
    format!("{:.7}, {:.7}", corner[0], corner[1])
}

/// A piece of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Piece {
    /// A number without a sign of its own that stands apart, and whether a minus stood before it.
    Number {
        value: f64,
        negative: bool,
    },
    Degree,
    Minute,
    Second,
    /// N, S, E or W.
    Side(char),
    /// Comma, semicolon or tab.
    Parting,
}

fn corner(line: &str) -> Result<Corner, String> {
    let pieces = pieces(line)?;
    let (first, second) = halves(&pieces).ok_or_else(|| {
        format!(
            "`{}` is not two coordinates: give degrees north, a comma, degrees east, such as \
             40.1234, -96.5678",
            shorten(line)
        )
    })?;
    let (a, b) = (angle(first)?, angle(second)?);
    let (lat, lon) = match (a.side, b.side) {
        (Some('E' | 'W'), Some('N' | 'S')) => (b.degrees, a.degrees),
        (Some('E' | 'W'), _) | (_, Some('N' | 'S')) => {
            return Err("latitude (N or S) comes first, longitude (E or W) second".to_owned());
        }
        _ => (a.degrees, b.degrees),
    };
    if lat.abs() > 1_000.0 || lon.abs() > 1_000.0 {
        return Err(format!(
            "{lat}, {lon} looks like metres or feet of a map grid: give degrees (WGS 84)"
        ));
    }
    if lat.abs() > 90.0 && lon.abs() <= 90.0 && lat.abs() <= 180.0 {
        return Err(format!(
            "{lat}, {lon} looks swapped: latitude comes first and is never beyond 90 degrees"
        ));
    }
    if lat.abs() > 90.0 || lon.abs() > 180.0 {
        return Err(format!(
            "{lat}, {lon} is no place on earth: latitude runs from -90 to 90, longitude from -180 \
             to 180 degrees"
        ));
    }
    Ok([lat, lon])
}

fn shorten(line: &str) -> String {
    let mut short: String = line.chars().take(40).collect();
    if short.len() < line.len() {
        short.push_str("...");
    }
    short
}

/// Cuts a line into pieces.
fn pieces(line: &str) -> Result<Vec<Piece>, String> {
    let decimal_comma = line.contains([';', '\t']) && !line.contains('.');
    let chars: Vec<char> = line.chars().collect();
    let mut out = Vec::new();
    let mut negative = false;
    let mut i = 0;
    while i < chars.len() {
        let c = chars[i];
        let number_before = matches!(out.last(), Some(Piece::Number { .. }));
        match c {
            '0'..='9' | '.' => {
                let mut text = String::new();
                while let Some(&c) = chars.get(i) {
                    let next_is_digit = chars.get(i + 1).is_some_and(char::is_ascii_digit);
                    if c.is_ascii_digit() || c == '.' {
                        text.push(c);
                    } else if c == ',' && decimal_comma && next_is_digit {
                        text.push('.');
                    } else {
                        break;
                    }
                    i += 1;
                }
                let value = text
                    .parse()
                    .map_err(|_| format!("`{}` is not a number", shorten(&text)))?;
                out.push(Piece::Number { value, negative });
                negative = false;
                continue;
            }
            '-' | '\u{2212}' | '\u{2013}' => negative = true,
            '+' => {}
            '°' | 'º' | '˚' => out.push(Piece::Degree),
            '"' | '″' | '\u{201d}' | '\u{201c}' => out.push(Piece::Second),
            '\'' | '′' | '\u{2019}' | '\u{2018}' => {
                // Two single strokes are one double one.
                if out.last() == Some(&Piece::Minute) {
                    out.pop();
                    out.push(Piece::Second);
                } else {
                    out.push(Piece::Minute);
                }
            }
            'd' | 'D' if number_before => out.push(Piece::Degree),
            'm' | 'M' if number_before => out.push(Piece::Minute),
            's' if number_before => out.push(Piece::Second),
            'N' | 'n' | 'S' | 's' | 'E' | 'e' | 'W' | 'w' => {
                if chars.get(i + 1).is_some_and(|c| c.is_alphabetic()) {
                    return Err(format!(
                        "`{}` has words in it: give numbers alone",
                        shorten(line)
                    ));
                }
                out.push(Piece::Side(c.to_ascii_uppercase()));
            }
            ',' | ';' | '\t' => out.push(Piece::Parting),
            c if c.is_whitespace() || matches!(c, '(' | ')' | '[' | ']') => {}
            c => {
                return Err(format!(
                    "`{c}` has no place in a coordinate: give degrees, such as 40.1234, -96.5678"
                ));
            }
        }
        i += 1;
    }
    Ok(out)
}

/// The pieces of each of the two coordinates: parted by a comma, by sides, or in the middle.
fn halves(pieces: &[Piece]) -> Option<(&[Piece], &[Piece])> {
    let pieces = match pieces {
        [rest @ .., Piece::Parting] => rest,
        all => all,
    };
    let partings: Vec<usize> = (0..pieces.len())
        .filter(|&i| pieces[i] == Piece::Parting)
        .collect();
    // Several tabs or a comma and a tab in a row are one.
    if let (Some(&first), Some(&last)) = (partings.first(), partings.last()) {
        if last - first + 1 != partings.len() {
            return None;
        }
        return Some((&pieces[..first], &pieces[last + 1..]));
    }
    let sides: Vec<usize> = (0..pieces.len())
        .filter(|&i| matches!(pieces[i], Piece::Side(_)))
        .collect();
    match sides[..] {
        [0, second] => return Some(pieces.split_at(second)),
        [first, _] => return Some(pieces.split_at(first + 1)),
        [_] | [] => {}
        _ => return None,
    }
    let degrees: Vec<usize> = (0..pieces.len())
        .filter(|&i| pieces[i] == Piece::Degree)
        .collect();
    if let [_, second] = degrees[..] {
        return Some(pieces.split_at(second - 1));
    }
    let numbers = pieces
        .iter()
        .filter(|p| matches!(p, Piece::Number { .. }))
        .count();
    if sides.is_empty() && numbers == pieces.len() && numbers % 2 == 0 {
        return Some(pieces.split_at(numbers / 2));
    }
    None
}

struct Angle {
    degrees: f64,
    side: Option<char>,
}

/// Degrees, minutes and seconds with a side before or behind.
fn angle(pieces: &[Piece]) -> Result<Angle, String> {
    let mut side = None;
    let mut values: Vec<f64> = Vec::new();
    let mut minus = false;
    for (i, piece) in pieces.iter().enumerate() {
        match *piece {
            Piece::Side(c) if side.is_none() => side = Some(c),
            Piece::Side(_) => return Err("one coordinate has two of N, S, E, W".to_owned()),
            Piece::Number { value, negative } => {
                if negative && !values.is_empty() {
                    return Err("a minus stands before minutes or seconds: put it first".to_owned());
                }
                minus |= negative;
                values.push(value);
            }
            mark => {
                let place = match mark {
                    Piece::Degree => 1,
                    Piece::Minute => 2,
                    _ => 3,
                };
                let after_number = i > 0 && matches!(pieces[i - 1], Piece::Number { .. });
                if values.len() != place || !after_number {
                    return Err(
                        "degrees, minutes and seconds go in this order, each once: 40°07'24\"N"
                            .to_owned(),
                    );
                }
            }
        }
    }
    if values.is_empty() || values.len() > 3 {
        return Err(
            "a coordinate has one number (degrees), two (and minutes) or three (and seconds)"
                .to_owned(),
        );
    }
    if values[1..].iter().any(|&v| v >= 60.0) {
        return Err("minutes and seconds are below 60".to_owned());
    }
    if values[..values.len() - 1].iter().any(|v| v.fract() != 0.0) {
        return Err(
            "only the last of degrees, minutes and seconds has digits after the point".to_owned(),
        );
    }
    let size: f64 = values
        .iter()
        .zip([1.0, 60.0, 3_600.0])
        .map(|(v, part)| v / part)
        .sum();
    if minus && side.is_some() {
        return Err("give a minus or one of N, S, E, W, not both".to_owned());
    }
    let down = minus || matches!(side, Some('S' | 'W'));
    Ok(Angle {
        degrees: if down { -size } else { size },
        side,
    })
}

#[cfg(test)]
#[path = "text_tests.rs"]
mod tests;
