//! The words of the trade in plain words, in alphabetical order.
//!
//! Every definition is common practice (what scouts and seed people mean by the word), put into
//! plain words for this program; none is quoted from anywhere.

/// A word of the trade.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Term {
    /// The word.
    pub word: &'static str,
    /// What it means, one line.
    pub means: &'static str,
    /// What to draw beside it.
    pub see: See,
}

/// Which drawing of the key shows a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum See {
    /// Nothing to draw.
    Nothing,
    /// The place on the plant where this trait is looked at.
    Place(&'static str),
    /// A state of a trait.
    State(&'static str, &'static str),
}

const fn word(word: &'static str, means: &'static str, see: See) -> Term {
    Term { word, means, see }
}

/// All of them.
pub const TERMS: &[Term] = &[
    word(
        "auricle",
        "An ear at the collar: a small outgrowth on either side, where the blade begins. Many grasses have none.",
        See::State("auricles", "clawlike"),
    ),
    word(
        "awn",
        "A bristle on the seed's husk.",
        See::State("seed_attached", "long_awned"),
    ),
    word(
        "blade",
        "The flat part of a leaf that stands away from the shoot.",
        See::Place("blade_surface"),
    ),
    word(
        "bunchgrass",
        "A grass that grows in tufts and sends out no runners.",
        See::State("runners", "none"),
    ),
    word(
        "bur",
        "A seed in a spiny case that clings to socks.",
        See::State("seed_attached", "bur"),
    ),
    word(
        "collar",
        "The band where blade and sheath meet.",
        See::Place("collar_hairs"),
    ),
    word(
        "cool-season grass",
        "A grass that grows most in spring and autumn and rests in the heat.",
        See::Nothing,
    ),
    word(
        "couplet",
        "A numbered question with two or more answers; each answer leads to the next number or to a name.",
        See::Nothing,
    ),
    word(
        "crown",
        "Where shoots and roots meet, at or just below the soil; the plant grows again from it.",
        See::Place("tiller_base"),
    ),
    word(
        "culm",
        "The stem of a grass, the one that will bear the head; jointed, and often hollow between joints.",
        See::Place("node_hairs"),
    ),
    word(
        "deciban",
        "A weight of evidence: 10 decibans make a name ten times as likely against another, 20 a hundred times.",
        See::Nothing,
    ),
    word(
        "first leaf",
        "The leaf that came up first: the lowest one, often short and blunt.",
        See::Place("first_leaf"),
    ),
    word(
        "frame",
        "A square laid on the ground to count in, often divided into cells; also called a quadrat.",
        See::Nothing,
    ),
    word(
        "fringe",
        "A row of hairs along an edge.",
        See::State("ligule_type", "fringed_membrane"),
    ),
    word(
        "habit",
        "How the whole plant holds itself: upright, spreading, or flat on the ground.",
        See::Place("growth_habit"),
    ),
    word(
        "head",
        "The flowering part at the top of a stem, which bears the seeds.",
        See::Nothing,
    ),
    word(
        "internode",
        "The stretch of stem between two joints.",
        See::Nothing,
    ),
    word("joint", "See node.", See::Place("node_hairs")),
    word(
        "keel",
        "A ridge along the back, like that of a boat; such a sheath or blade is keeled.",
        See::State("sheath_keel", "keeled"),
    ),
    word(
        "ligule",
        "The skin or row of hairs on the inside of the leaf where blade meets sheath. Pull the blade back to see it.",
        See::State("ligule_type", "membrane"),
    ),
    word(
        "look-alike",
        "Another grass that is easily taken for this one.",
        See::Nothing,
    ),
    word(
        "membrane",
        "A thin skin, clear or whitish.",
        See::State("ligule_type", "membrane"),
    ),
    word(
        "midrib",
        "The main vein along the middle of a blade.",
        See::Place("blade_midrib"),
    ),
    word(
        "native",
        "At home here before settlers brought plants from elsewhere.",
        See::Nothing,
    ),
    word(
        "node",
        "A joint of the stem: the knot that a leaf grows from.",
        See::Place("node_hairs"),
    ),
    word(
        "prostrate",
        "Flat on the ground.",
        See::State("growth_habit", "prostrate"),
    ),
    word(
        "pure live seed (PLS)",
        "The part of a seed lot that is the right kind and can grow: share pure times share that germinates. Rates are given in pounds of it.",
        See::Nothing,
    ),
    word(
        "rhizome",
        "A runner below ground: a creeping stem that sends up new shoots.",
        See::State("runners", "rhizomes"),
    ),
    word(
        "sedge",
        "A plant like a grass, but no grass: its leaves stand in three rows and its shoot is often three-cornered.",
        See::State("stem_section", "triangular"),
    ),
    word(
        "seedling",
        "A young plant, from the first leaf up.",
        See::Nothing,
    ),
    word(
        "sheath",
        "The lower part of a leaf, wrapped round the shoot.",
        See::Place("sheath_hairs"),
    ),
    word("shoot", "A stem with its leaves.", See::Nothing),
    word(
        "spikelet",
        "The smallest unit of a grass head: one or more seeds in their husks.",
        See::Nothing,
    ),
    word(
        "spot",
        "A place in the field where one or more frames are laid.",
        See::Nothing,
    ),
    word(
        "stolon",
        "A runner above ground: it creeps over the soil and roots at its joints.",
        See::State("runners", "stolons"),
    ),
    word(
        "taxon",
        "A kind of plant that the key has a name for: a species, or a few that the key doesn't part. More than one: taxa.",
        See::Nothing,
    ),
    word(
        "tiller",
        "A single shoot of a grass, from its base; a plant that has more than one is tillering.",
        See::Place("growth_habit"),
    ),
    word(
        "trait",
        "One thing to look at. What you may see there are its states.",
        See::Nothing,
    ),
    word(
        "tuft",
        "A bundle of hairs, or a bundle of shoots.",
        See::State("collar_hairs", "patch"),
    ),
    word(
        "vernation",
        "How the newest leaf lies in the shoot before it opens: rolled or folded.",
        See::Place("vernation"),
    ),
    word(
        "volunteer",
        "A plant that nobody sowed and that came by itself.",
        See::Nothing,
    ),
    word(
        "warm-season grass",
        "A grass that grows most in the heat of summer.",
        See::Nothing,
    ),
    word(
        "weed",
        "A plant that is in the planting's way.",
        See::Nothing,
    ),
];

#[cfg(test)]
mod tests {
    use super::TERMS;

    #[test]
    fn words_stand_in_alphabetical_order_and_take_a_line() {
        for pair in TERMS.windows(2) {
            assert!(pair[0].word < pair[1].word, "{}", pair[1].word);
        }
        for term in TERMS {
            assert!(term.means.len() <= 160, "{}", term.word);
        }
    }
}
