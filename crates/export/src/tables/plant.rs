//! Tables of what plants were taken for: determinations with what was seen, opinions, photos.

use standbook_fieldbook::record::{Body, Determination, Opinion, ValueGiven};
use standbook_fieldbook::{RecordId, Rooted};

use super::Type::{Real, Text, Truth, Whole};
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
        for (at, answer) in plant.entry.body.evidence.answers.iter().enumerate() {
            let (kind, states, measure) = match &answer.value {
                ValueGiven::States(states) => ("states", states.join("|"), None),
                ValueGiven::Measure(value) => ("measure", String::new(), Some(*value)),
                ValueGiven::CannotTell => ("cannot_tell", String::new(), None),
            };
            to.row(&[
                plant.root.into(),
                (at + 1).into(),
                answer.r#trait.as_str().into(),
                kind.into(),
                states.into(),
                measure.into(),
            ])?;
        }
        Ok(())
    })
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

pub(super) const OPINIONS: Table = Table {
    name: "opinions",
    meaning: "second opinions on plants and unknowns; the latest counts",
    own: &[
        column("determination", Text, "the plant, see determinations.id").empty("about an unknown"),
        column("unknown", Text, "the unknown, see unknowns.id").empty("about a plant"),
        column("taxon", Text, "the name given, see taxa.id").empty("no name of the key"),
        column("name_as_written", Text, "the name in the reviewer's words")
            .empty("the taxon says it all"),
        column("reasons", Text, "why").empty(WORDS),
    ],
    records: true,
    fill: opinions,
};

fn opinions(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    let put = |to: &mut dyn Sink, plant: Option<RecordId>, unknown, opinion: &Rooted<Opinion>| {
        let it = &opinion.entry.body;
        let own = vec![
            plant.into(),
            Value::from(unknown),
            it.taxon.as_deref().into(),
            it.name_as_written.as_str().into(),
            leaving.words(&it.reasons).into(),
        ];
        to.record(leaving, opinion, own)
    };
    leaving.each_visit(|field, visit| {
        leaving.moment.each_unknown(visit.root, |unknown| {
            for opinion in leaving.moment.opinions(unknown.root)? {
                put(to, None, Some(unknown.root), &opinion)?;
            }
            Ok::<_, crate::ExportError>(())
        })?;
        leaving.each_point(field, visit, |spot| {
            leaving.moment.each_determination(spot.point.root, |plant| {
                for opinion in leaving.moment.opinions(plant.root)? {
                    put(to, Some(plant.root), None, &opinion)?;
                }
                Ok(())
            })
        })
    })
}

pub(super) const PHOTOS: Table = Table {
    name: "photos",
    meaning: "pictures of what is recorded",
    own: &[
        column(
            "of_kind",
            Text,
            "the kind of record that it shows, such as determination",
        ),
        column("of", Text, "that record's id"),
        column("shows", Text, "which part it shows").empty(WORDS),
        column(
            "file",
            Text,
            "the picture in this archive, without what the camera wrote into it",
        )
        .empty("the picture stayed here"),
        column(
            "has_file",
            Truth,
            "whether the picture left with this export",
        ),
    ],
    records: true,
    fill: photos,
};

fn photos(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    leaving.each_photo(|photo| {
        let it = &photo.entry.body;
        let of = leaving.moment.get(it.of)?;
        let file = from.pictures.get(&photo.root);
        let own = vec![
            of.as_ref().map_or("", |of| Body::kind(&of.body)).into(),
            leaving.root(it.of)?.into(),
            leaving.words(&it.shows).into(),
            file.map(String::as_str).into(),
            file.is_some().into(),
        ];
        to.record(leaving, &photo, own)
    })
}
