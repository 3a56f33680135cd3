//! The few numbers by which a change is judged, and the ratchet that holds them.
//!
//! In: an evaluation, and the table kept of the last one. Out: which headline numbers dropped
//! by more than their noise. Noise is one standard error of the share as of independent cases;
//! of a mean, its standard error. The cases and seeds are the same in both, so most of the noise
//! cancels: a drop beyond it is not luck.

/// A number by which naming is judged; larger is better.
#[derive(Debug, Clone, PartialEq)]
pub struct Headline {
    /// What it is, as in the kept table.
    pub name: String,
    /// Its value: a share 0 to 1, or a mean.
    pub value: f64,
    /// Its noise, in the same unit.
    pub noise: f64,
}

/// Marks the lines of a table that [`read`] understands.
const MARK: &str = "headline: ";

/// One line of the kept table.
pub fn line(headline: &Headline) -> String {
    format!(
        "{MARK}{:<58} {:>8.4}  noise {:.4}",
        headline.name, headline.value, headline.noise
    )
}

/// Reads the headlines of a kept table; lines it does not understand are an error that names
/// them, since a ratchet that reads nothing holds nothing.
pub fn read(table: &str) -> Result<Vec<Headline>, String> {
    let mut headlines = Vec::new();
    for (at, line) in table.lines().enumerate() {
        let Some(rest) = line.strip_prefix(MARK) else {
            continue;
        };
        let words: Vec<&str> = rest.split_whitespace().collect();
        let numbers = match words[..] {
            [.., value, "noise", noise] => value.parse().ok().zip(noise.parse().ok()),
            _ => None,
        };
        let Some((value, noise)) = numbers else {
            return Err(format!(
                "line {}: `{line}` is not `{MARK}name value noise number`; write the table anew \
                 with `cargo xtask evaluate --keep`",
                at + 1
            ));
        };
        headlines.push(Headline {
            name: words[..words.len() - 3].join(" "),
            value,
            noise,
        });
    }
    if headlines.is_empty() {
        return Err("there is no headline in the kept table".to_owned());
    }
    Ok(headlines)
}

/// What got worse by more than its noise, in words; also what is no longer measured.
pub fn worse(kept: &[Headline], now: &[Headline]) -> Vec<String> {
    kept.iter()
        .filter_map(|before| {
            let Some(after) = now.iter().find(|h| h.name == before.name) else {
                return Some(format!("{}: no longer measured", before.name));
            };
            (before.value - after.value > before.noise.max(1e-9)).then(|| {
                format!(
                    "{}: {:.4} was {:.4}, and its noise is {:.4}",
                    before.name, after.value, before.value, before.noise
                )
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn headline(value: f64) -> Headline {
        Headline {
            name: "right name first, published".to_owned(),
            value,
            noise: 0.05,
        }
    }

    #[test]
    fn a_kept_table_reads_back() {
        let text = format!("words\n{}\nmore", line(&headline(0.625)));
        assert_eq!(read(&text).unwrap(), [headline(0.625)]);
    }

    #[test]
    fn a_table_without_headlines_or_with_a_spoilt_one_is_refused() {
        assert!(read("nothing here").is_err());
        assert!(
            read("headline: name but no number")
                .unwrap_err()
                .contains("line 1")
        );
    }

    #[test]
    fn only_a_drop_beyond_the_noise_is_worse() {
        assert!(worse(&[headline(0.6)], &[headline(0.56)]).is_empty());
        assert_eq!(worse(&[headline(0.6)], &[headline(0.54)]).len(), 1);
        assert_eq!(worse(&[headline(0.6)], &[]).len(), 1);
        assert!(worse(&[headline(0.6)], &[headline(0.9)]).is_empty());
    }
}
