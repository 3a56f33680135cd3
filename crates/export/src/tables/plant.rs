//! Tables of what plants were taken for: determinations with what was seen and how likely names were.

use standbook_fieldbook::Rooted;
use standbook_fieldbook::record::{AnswerGiven, Determination, ValueGiven};

use super::Type::{Real, Text, Whole};
use super::{Sink, Source, Table, Value, column};
use crate::error::Done;
use crate::leaving::Spot;

const WORDS: &str = "nothing, or left out of this export";

/// Lines of a ranking with less are left out: of a key of fifty taxa most have next to nothing.
const LEAST_PROBABILITY: f64 = 0.001;

pub(super) const DETERMINATIONS: Table = Table {
    name: "determinations",
    meaning: "what single plants were taken for",
    own: &[
        column("point", Text, "where it stood, see points.id"),
        column("cell", Whole, "cell of the frame, from 1").empty("not in a frame"),
        column(
            "unknown",
            Text,
            "the unknown it was made for, see unknowns.id",
        )
        .empty("none"),
        column(
            "scouts_taxon",
            Text,
            "the name the scout settled for, see taxa.id",
        )
        .empty("no name"),
        column("taxon", Text, "the name that counts now, see taxa.id")
            .empty("no certain name of the key"),
        column(
            "scientific_name",
            Text,
            "the lowest name that is certain now",
        ),
        column("taxon_rank", Text, "its rank").of("kingdom; genus; species; subspecies"),
        column("doubt", Text, "what is doubtful, such as cf. faberi").empty("nothing"),
        column("named_by", Text, "who gave the name that counts now")
            .empty("a name that was never seen in the book"),
        column("named_on", super::Type::Instant, "when").unit("UTC"),
        column("checked", Text, "how far it was looked at again"),
        column("leaf_stage", Text, "how far it had grown")
            .of("one_leaf; few_leaves; tillering; heading"),
        column("outcome", Text, "what the key made of the answers")
            .of("settled; leaning; split_between; not_in_this_key; too_little_seen"),
        column(
            "likeliest",
            Text,
            "the likeliest taxon by the key, see taxa.id, or not_in_key",
        )
        .empty("no ranking"),
        column("likeliest_probability", Real, "its probability")
            .unit("0 to 1")
            .empty("no ranking"),
        column("key", Text, "the key used"),
        column(
            "table_fingerprint",
            Text,
            "the version of the key's numbers",
        ),
        column("tools", Text, "tools in hand, joined by |").empty("none"),
        column("note", Text, "the scout's words").empty(WORDS),
    ],
    records: true,
    fill: determinations,
};

fn each_plant(from: &Source, mut take: impl FnMut(&Spot, Rooted<Determination>) -> Done) -> Done {
    from.leaving.each_spot(|spot| {
        let moment = from.leaving.moment;
        moment.each_determination(spot.point.root, |plant| take(spot, plant))
    })
}

fn determinations(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    each_plant(from, |spot, plant| {
        let it = &plant.entry.body;
        let opinions = leaving.moment.opinions(plant.root)?;
        let known = it
            .unknown
            .map(|id| leaving.unknown(id))
            .transpose()?
            .flatten();
        let standing = leaving.plant_stands(&plant, &opinions, known.as_deref());
        let named = standing.named;
        let best = it.evidence.ranking.first();
        let own: Vec<Value<'_>> = vec![
            spot.point.root.into(),
            it.cell.into(),
            known.map(|known| known.unknown.root).into(),
            it.taxon.as_deref().into(),
            named.taxon.into(),
            named.scientific.into(),
            named.rank.into(),
            named.qualifier.into(),
            standing.by.into(),
            standing.on.into(),
            standing.verified.into(),
            it.evidence.leaf_stage.as_str().into(),
            it.evidence.outcome.as_str().into(),
            best.map(|best| best.taxon.as_str()).into(),
            best.map(|best| best.probability).into(),
            it.evidence.key.as_str().into(),
            it.evidence.table_fingerprint.as_str().into(),
            it.evidence.tools.join("|").into(),
            leaving.words(&it.note).into(),
        ];
        to.record(leaving, &plant, own)
    })
}

pub(super) const ANSWERS: Table = Table {
    name: "answers",
    meaning: "what was seen on a plant, in the order in which it was looked at",
    own: &[
        column("determination", Text, "the plant, see determinations.id"),
        column("number", Whole, "its place in the walk"),
        column("trait", Text, "what was looked at, see traits.id"),
        column("kind", Text, "what kind of answer").of("states; measure; cannot_tell"),
        column("states", Text, "what was seen, joined by |").empty("a measure, or could not tell"),
        column("measure", Real, "what was measured")
            .unit("see traits.unit")
            .empty("not a measure"),
    ],
    records: false,
    fill: answers,
};

fn answers(from: &Source, to: &mut dyn Sink) -> Done {
    each_plant(from, |_, plant| {
        let answers = plant.entry.body.evidence.answers.iter();
        answers
            .enumerate()
            .try_for_each(|(at, answer)| to.row(&seen(plant.root.into(), at, answer)))
    })
}

/// A row of what was seen: of whom, which place in the walk, and what.
pub(super) fn seen<'a>(of: Value<'a>, at: usize, answer: &'a AnswerGiven) -> [Value<'a>; 6] {
    let (kind, states, measure) = match &answer.value {
        ValueGiven::States(states) => ("states", states.join("|"), None),
        ValueGiven::Measure(value) => ("measure", String::new(), Some(*value)),
        ValueGiven::CannotTell => ("cannot_tell", String::new(), None),
    };
    [
        of,
        (at + 1).into(),
        answer.r#trait.as_str().into(),
        kind.into(),
        states.into(),
        measure.into(),
    ]
}

pub(super) const RANKING: Table = Table {
    name: "ranking",
    meaning: "how likely the key held each taxon to be; lines below 0.001 are left out",
    own: &[
        column("determination", Text, "the plant, see determinations.id"),
        column("number", Whole, "1 is the likeliest"),
        column("taxon", Text, "see taxa.id, or not_in_key"),
        column("probability", Real, "probability").unit("0 to 1"),
    ],
    records: false,
    fill: ranking,
};

fn ranking(from: &Source, to: &mut dyn Sink) -> Done {
    each_plant(from, |_, plant| {
        let ranking = plant.entry.body.evidence.ranking.iter().enumerate();
        for (at, ranked) in ranking.filter(|(_, it)| it.probability >= LEAST_PROBABILITY) {
            to.row(&[
                plant.root.into(),
                (at + 1).into(),
                ranked.taxon.as_str().into(),
                ranked.probability.into(),
            ])?;
        }
        Ok(())
    })
}
