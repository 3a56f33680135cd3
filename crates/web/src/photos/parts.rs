//! What photos of a plant should show, so that somebody far away can name it.
//!
//! Sources: UF/IFAS Extension Duval County, "Plant Identification" (for grasses: collar with
//! ligule, both faces of a blade, roots, the whole plant, the plant where it grows, any flower or
//! seed head); UF/IFAS Extension Martin County, "Contact-free Plant ID: Collecting Good Quality
//! Images", 2020 (a ruler or a coin in close-ups, 500 KB to 5 MB, sharp); NMSU Guide H-185.

/// A part of a plant that a photo may show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Part {
    /// As it stands in the record and on the page.
    pub name: &'static str,
    /// How to take it; may be empty.
    pub how: &'static str,
    /// Whether a second opinion from afar asks for it.
    pub asked: bool,
}

const fn part(name: &'static str, how: &'static str, asked: bool) -> Part {
    Part { name, how, asked }
}

/// All of them, in the order in which they are best taken: what is dug up comes last.
pub(crate) const PARTS: [Part; 10] = [
    part("plant in its setting", "with what grows around it", true),
    part("whole plant", "from the ground to the tips", true),
    part("collar with ligule", "close up, the blade bent back", true),
    part("upper face of a blade", "close up", true),
    part("lower face of a blade", "close up", true),
    part("base", "close up, the lowest sheaths", true),
    part("roots and seed", "dug up, the seed still on it", true),
    part(
        "plant with a scale",
        "a ruler or a coin laid beside it",
        true,
    ),
    part("head", "flowers or seed, only if there is one", false),
    part("other", "", false),
];

/// Whether a record may say that it shows this.
pub(crate) fn is_part(name: &str) -> bool {
    PARTS.iter().any(|part| part.name == name)
}

/// The parts that a second opinion from afar asks for and no photo shows.
pub(crate) fn lacking<'a>(shown: impl Iterator<Item = &'a str> + Clone) -> Vec<&'static str> {
    PARTS
        .iter()
        .filter(|part| part.asked && !shown.clone().any(|one| one == part.name))
        .map(|part| part.name)
        .collect()
}

/// The same in words.
pub(crate) fn missing<'a>(shown: impl Iterator<Item = &'a str> + Clone) -> String {
    let missing = lacking(shown);
    match missing.split_last() {
        None => "All that a second opinion from afar asks for is here.".to_owned(),
        Some((only, [])) => format!("For a second opinion from afar one photo is missing: {only}."),
        Some((last, others)) => format!(
            "For a second opinion from afar {} photos are missing: {} and {last}.",
            missing.len(),
            others.join(", ")
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_missing_is_said_until_nothing_is() {
        assert!(missing([].into_iter()).contains("8 photos are missing: plant in its setting, "));
        let all_but_one = PARTS.iter().map(|part| part.name).filter(|n| *n != "base");
        assert!(missing(all_but_one).ends_with("one photo is missing: base."));
        let asked = PARTS.iter().filter(|part| part.asked);
        assert!(missing(asked.map(|part| part.name)).starts_with("All that"));
    }
}
