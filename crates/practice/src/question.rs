//! A question of practice as one line of text: what an address, a set and a record keep.
//!
//! In: the text. Out: what it asks, or what is wrong with the text. Parts are joined by `.`, names in a
//! list by `,`; ids of traits, taxa and records have neither. A drawn question names the seed of its
//! specimen, so the same text with the same table is the same drawing for ever.
//!
//! Not here: whether the key knows the ids, and how anything is drawn.

use std::fmt;
use std::str::FromStr;

use standbook_key::LeafStage;

/// What is asked.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Question {
    /// Which state of a trait a drawn specimen shows.
    SeeTrait {
        /// The trait.
        trait_id: String,
        /// What the specimen is.
        taxon: String,
        /// How old it is.
        stage: LeafStage,
        /// Which specimen of that taxon.
        seed: u32,
    },
    /// Two look-alikes side by side; the seed says which stands where, and which is asked for.
    TellPair {
        /// One.
        one: String,
        /// The other.
        other: String,
        /// How old both are.
        stage: LeafStage,
        /// Which specimens.
        seed: u32,
    },
    /// What a drawn specimen is.
    NameIt {
        /// What it is.
        taxon: String,
        /// How old it is.
        stage: LeafStage,
        /// Which specimen.
        seed: u32,
    },
    /// In which cells of a drawn frame planted grasses stand, and in which something else.
    CountFrame {
        /// Taxa that count as planted; at least one.
        planted: Vec<String>,
        /// Taxa that do not.
        others: Vec<String>,
        /// How old most are.
        stage: LeafStage,
        /// Which frame.
        seed: u32,
    },
    /// Which state of a trait a photo of a plant of the book shows.
    SeePhoto {
        /// The trait.
        trait_id: String,
        /// Id of the photo's record.
        photo: String,
        /// Id of the determination or unknown.
        plant: String,
    },
    /// What the plant of a photo is.
    NamePhoto {
        /// Id of the photo's record.
        photo: String,
        /// Id of the determination or unknown.
        plant: String,
    },
}

/// A text that is no question.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{text}` is no question: {problem}")]
pub struct NoQuestion {
    /// The text, cut.
    pub text: String,
    /// What is wrong with it.
    pub problem: &'static str,
}

impl fmt::Display for Question {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Question::SeeTrait {
                trait_id,
                taxon,
                stage,
                seed,
            } => write!(f, "see.{trait_id}.{taxon}.{}.{seed}", stage.id()),
            Question::TellPair {
                one,
                other,
                stage,
                seed,
            } => write!(f, "pair.{one}.{other}.{}.{seed}", stage.id()),
            Question::NameIt { taxon, stage, seed } => {
                write!(f, "name.{taxon}.{}.{seed}", stage.id())
            }
            Question::CountFrame {
                planted,
                others,
                stage,
                seed,
            } => write!(
                f,
                "frame.{}.{}.{}.{seed}",
                planted.join(","),
                others.join(","),
                stage.id()
            ),
            Question::SeePhoto {
                trait_id,
                photo,
                plant,
            } => write!(f, "see_photo.{trait_id}.{photo}.{plant}"),
            Question::NamePhoto { photo, plant } => write!(f, "name_photo.{photo}.{plant}"),
        }
    }
}

impl FromStr for Question {
    type Err = NoQuestion;

    fn from_str(text: &str) -> Result<Question, NoQuestion> {
        let parts: Vec<&str> = text.split('.').collect();
        read(&parts).map_err(|problem| NoQuestion {
            text: text.chars().take(80).collect(),
            problem,
        })
    }
}

fn read(parts: &[&str]) -> Result<Question, &'static str> {
    Ok(match *parts {
        ["see", trait_id, taxon, stage, seed] => Question::SeeTrait {
            trait_id: id(trait_id)?,
            taxon: id(taxon)?,
            stage: age(stage)?,
            seed: number(seed)?,
        },
        ["pair", one, other, stage, seed] => {
            if one == other {
                return Err("a pair is of two different names");
            }
            Question::TellPair {
                one: id(one)?,
                other: id(other)?,
                stage: age(stage)?,
                seed: number(seed)?,
            }
        }
        ["name", taxon, stage, seed] => Question::NameIt {
            taxon: id(taxon)?,
            stage: age(stage)?,
            seed: number(seed)?,
        },
        ["frame", planted, others, stage, seed] => {
            let planted = ids(planted)?;
            let others = ids(others)?;
            if planted.is_empty() {
                return Err("a frame needs a planted name");
            }
            if planted.iter().any(|name| others.contains(name)) {
                return Err("a name is planted or it is not");
            }
            Question::CountFrame {
                planted,
                others,
                stage: age(stage)?,
                seed: number(seed)?,
            }
        }
        ["see_photo", trait_id, photo, plant] => Question::SeePhoto {
            trait_id: id(trait_id)?,
            photo: record(photo)?,
            plant: record(plant)?,
        },
        ["name_photo", photo, plant] => Question::NamePhoto {
            photo: record(photo)?,
            plant: record(plant)?,
        },
        _ => return Err("it does not begin as one, or has too few parts or too many"),
    })
}

fn id(text: &str) -> Result<String, &'static str> {
    let fits = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_';
    match !text.is_empty() && text.len() <= 80 && text.chars().all(fits) {
        true => Ok(text.to_owned()),
        false => Err("a name in it is no id"),
    }
}

/// A list without repeats; nothing is an empty list.
fn ids(text: &str) -> Result<Vec<String>, &'static str> {
    if text.is_empty() {
        return Ok(Vec::new());
    }
    let list: Vec<String> = text.split(',').map(id).collect::<Result<_, _>>()?;
    let mut once = list.clone();
    once.sort_unstable();
    once.dedup();
    match once.len() == list.len() {
        true => Ok(list),
        false => Err("a name stands in it twice"),
    }
}

fn record(text: &str) -> Result<String, &'static str> {
    let fits = |c: char| c.is_ascii_hexdigit() && !c.is_ascii_uppercase() || c == '-';
    match text.len() == 36 && text.chars().all(fits) {
        true => Ok(text.to_owned()),
        false => Err("an id of a record in it is none"),
    }
}

fn age(text: &str) -> Result<LeafStage, &'static str> {
    LeafStage::from_id(text).ok_or("its leaf stage is not known")
}

fn number(text: &str) -> Result<u32, &'static str> {
    // `parse` would take `+7` and `007` as well, and one question would have several texts.
    match text.parse::<u32>() {
        Ok(number) if number.to_string() == text => Ok(number),
        _ => Err("its number is none from 0 to 4294967295"),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_question_reads_as_it_is_written_and_has_one_text_only() {
        let record = "01890a5d-ac96-774b-bcce-b302099a8057";
        for text in [
            "see.ligule_type.panicum_virgatum.tillering.7".to_owned(),
            "pair.setaria_faberi.panicum_virgatum.few_leaves.4294967295".to_owned(),
            "name.andropogon_gerardi.heading.0".to_owned(),
            "frame.andropogon_gerardi,panicum_virgatum.setaria_faberi.tillering.12".to_owned(),
            "frame.andropogon_gerardi..tillering.12".to_owned(),
            format!("see_photo.ligule_type.{record}.{record}"),
            format!("name_photo.{record}.{record}"),
        ] {
            let question: Question = text.parse().unwrap();
            assert_eq!(question.to_string(), text);
        }
        for wrong in [
            "",
            "see.ligule_type.panicum_virgatum.tillering",
            "see.Ligule.panicum_virgatum.tillering.7",
            "pair.setaria_faberi.setaria_faberi.tillering.7",
            "name.andropogon_gerardi.tillering.007",
            "name.andropogon_gerardi.tillering.+7",
            "name.andropogon_gerardi.tillering.4294967296",
            "name.andropogon_gerardi.old.7",
            "frame..setaria_faberi.tillering.1",
            "frame.a.a.tillering.1",
            "frame.a,a.b.tillering.1",
            "name_photo.x.y",
            "name.<b>.tillering.1",
        ] {
            assert!(wrong.parse::<Question>().is_err(), "{wrong}");
        }
    }
}
