//! Tables of the office: opinions with what reviewers saw, specimens, plants to come back to, audits, photos.

use standbook_fieldbook::record::{
    Audit, Body, ComeBack, ComeBackReason, Opinion, Preparation, Qualifier, Voucher,
};
use standbook_fieldbook::{RecordId, Rooted};

use super::Type::{Date, Real, Text, Truth, Whole};
use super::plant::seen;
use super::{Sink, Source, Table, Value, column};
use crate::error::{Done, ExportError};
use crate::wkt::degrees;

const WORDS: &str = "nothing, or left out of this export";

pub(super) const OPINIONS: Table = Table {
    name: "opinions",
    meaning: "second opinions on plants and unknowns; the latest counts",
    own: &[
        column("determination", Text, "the plant, see determinations.id").empty("about an unknown"),
        column("unknown", Text, "the unknown, see unknowns.id").empty("about a plant"),
        column("taxon", Text, "the name given, see taxa.id")
            .empty("no name of the key, or a genus"),
        column(
            "qualifier",
            Text,
            "doubt: to be compared with the taxon, or near it but not it",
        )
        .of("cf; aff")
        .empty("sure"),
        column("genus", Text, "sure of the genus only").empty("a taxon, or no name of the key"),
        column("name_as_written", Text, "the name in the reviewer's words")
            .empty("the taxon says it all"),
        column(
            "blind",
            Truth,
            "whether it was given before the first answer was shown",
        ),
        column(
            "outcome",
            Text,
            "what the key made of what the reviewer saw",
        )
        .empty("the plant was not walked again"),
        column("reasons", Text, "why").empty(WORDS),
    ],
    records: true,
    fill: opinions,
};

/// The opinions that leave, each with the plant or the unknown that it is about.
fn each_opinion(
    from: &Source,
    mut take: impl FnMut(Option<RecordId>, Option<RecordId>, &Rooted<Opinion>) -> Done,
) -> Done {
    let moment = from.leaving.moment;
    from.leaving.each_visit(|field, visit| {
        moment.each_unknown(visit.root, |unknown| {
            let opinions = moment.opinions(unknown.root)?;
            opinions
                .iter()
                .try_for_each(|it| take(None, Some(unknown.root), it))
        })?;
        from.leaving.each_point(field, visit, |spot| {
            moment.each_determination(spot.point.root, |plant| {
                let opinions = moment.opinions(plant.root)?;
                opinions
                    .iter()
                    .try_for_each(|it| take(Some(plant.root), None, it))
            })
        })
    })
}

fn opinions(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    each_opinion(from, |plant, unknown, opinion| {
        let it = &opinion.entry.body;
        let doubt = it.qualifier.map(|doubt| match doubt {
            Qualifier::Cf => "cf",
            Qualifier::Aff => "aff",
        });
        let own = vec![
            plant.into(),
            unknown.into(),
            it.taxon.as_deref().into(),
            doubt.into(),
            it.genus.as_deref().into(),
            it.name_as_written.as_str().into(),
            it.blind.into(),
            it.evidence
                .as_ref()
                .map(|seen| seen.outcome.as_str())
                .into(),
            leaving.words(&it.reasons).into(),
        ];
        to.record(leaving, opinion, own)
    })
}

pub(super) const OPINION_ANSWERS: Table = Table {
    name: "opinion_answers",
    meaning: "what a reviewer saw on a plant, in the order in which it was looked at",
    own: &[
        column("opinion", Text, "the opinion, see opinions.id"),
        column("number", Whole, "its place in the walk"),
        column("trait", Text, "what was looked at, see traits.id"),
        column("kind", Text, "what kind of answer").of("states; measure; cannot_tell"),
        column("states", Text, "what was seen, joined by |").empty("a measure, or could not tell"),
        column("measure", Real, "what was measured")
            .unit("see traits.unit")
            .empty("not a measure"),
    ],
    records: false,
    fill: opinion_answers,
};

fn opinion_answers(from: &Source, to: &mut dyn Sink) -> Done {
    each_opinion(from, |_, _, opinion| {
        let answers = opinion
            .entry
            .body
            .evidence
            .iter()
            .flat_map(|it| &it.answers);
        answers
            .enumerate()
            .try_for_each(|(at, answer)| to.row(&seen(opinion.root.into(), at, answer)))
    })
}

pub(super) const SPECIMENS: Table = Table {
    name: "specimens",
    meaning: "plants that were kept; collector and number together are what herbaria call one by",
    own: &[
        column("of_kind", Text, "what it is a plant of").of("determination; unknown"),
        column("of", Text, "that record's id"),
        column(
            "collector",
            Text,
            "who collected it, or a number where names are left out",
        ),
        column("number", Text, "the collector's number"),
        column("collected_on", Date, "the day"),
        column("preparation", Text, "how it is kept").of("pressed; dried; living; in_spirit"),
        column("parts", Text, "what was collected").empty(WORDS),
        column("kept_at", Text, "where it is now").empty("not said"),
        column("habitat", Text, "what grows there and on what ground").empty(WORDS),
        column("associates", Text, "what grew beside it").empty(WORDS),
        column("habit", Text, "how it held itself").empty(WORDS),
        column("abundance", Text, "how many there were").empty(WORDS),
        column("fading", Text, "what is lost on drying").empty(WORDS),
    ],
    records: true,
    fill: specimens,
};

/// Kind and first id of the record that something is about.
fn about(from: &Source, id: RecordId) -> Done<(&'static str, RecordId)> {
    let record = from.leaving.moment.get(id)?;
    let kind = record.as_ref().map_or("", |it| Body::kind(&it.body));
    Ok((kind, from.leaving.root(id)?))
}

fn specimens(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    leaving.moment.each::<Voucher, _>(|specimen| {
        let it = &specimen.entry.body;
        if !leaving.leaves(it.about)? {
            return Ok::<_, ExportError>(());
        }
        let (kind, of) = about(from, it.about)?;
        let preparation = match it.preparation {
            Preparation::Pressed => "pressed",
            Preparation::Dried => "dried",
            Preparation::Living => "living",
            Preparation::InSpirit => "in_spirit",
        };
        let own = vec![
            kind.into(),
            of.into(),
            leaving.people.say(&it.collector).into(),
            it.number.as_str().into(),
            it.collected_on.as_str().into(),
            preparation.into(),
            leaving.words(&it.parts).into(),
            leaving.words(&it.kept_at).into(),
            leaving.words(&it.habitat).into(),
            leaving.words(&it.associates).into(),
            leaving.words(&it.habit).into(),
            leaving.words(&it.abundance).into(),
            leaving.words(&it.fading).into(),
        ];
        to.record(leaving, &specimen, own)
    })
}

pub(super) const COME_BACKS: Table = Table {
    name: "come_backs",
    meaning: "plants to look at again where they stand",
    own: &[
        column("of_kind", Text, "what it is a plant of").of("determination; unknown"),
        column("of", Text, "that record's id"),
        column("due_on", Date, "from when it is worth going"),
        column("reason", Text, "what is waited for").of("heading; green_up; other"),
        column("pin", Text, "how it is marked on the ground").empty(WORDS),
        column(
            "latitude",
            Real,
            "degrees north; the middle of a cell where places are blurred",
        )
        .unit("degrees, WGS 84")
        .empty("as its point"),
        column(
            "longitude",
            Real,
            "degrees east; the middle of a cell where places are blurred",
        )
        .unit("degrees, WGS 84")
        .empty("as its point"),
        column("uncertainty_m", Real, "radius that holds the true place")
            .unit("m")
            .empty("not known"),
        column("seen_on", Date, "when somebody went").empty("still due"),
        column("found", Text, "what was found then").empty(WORDS),
    ],
    records: true,
    fill: come_backs,
};

fn come_backs(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    leaving.moment.each::<ComeBack, _>(|come_back| {
        let it = &come_back.entry.body;
        if !leaving.leaves(it.about)? {
            return Ok::<_, ExportError>(());
        }
        let (kind, of) = about(from, it.about)?;
        let at = it
            .position
            .as_ref()
            .map(|position| leaving.located(position));
        let reason = match it.reason {
            ComeBackReason::Heading => "heading",
            ComeBackReason::GreenUp => "green_up",
            ComeBackReason::Other => "other",
        };
        let own = vec![
            kind.into(),
            of.into(),
            it.due_on.as_str().into(),
            reason.into(),
            leaving.words(&it.pin).into(),
            at.map(|place| degrees(place.at[0])).into(),
            at.map(|place| degrees(place.at[1])).into(),
            at.and_then(|place| place.uncertainty_m).into(),
            it.seen_on.as_deref().into(),
            leaving.words(&it.found).into(),
        ];
        to.record(leaving, &come_back, own)
    })
}

pub(super) const AUDITS: Table = Table {
    name: "audits",
    meaning: "plants of a visit drawn at random to be looked at again, before anybody did",
    own: &[
        column("visit", Text, "the visit, see visits.id"),
        column("share", Real, "share of the plants asked for").unit("0 to 1"),
        column("draw_seed", Whole, "what the draw started from"),
        column("plants", Whole, "plants that it was drawn from"),
        column("drawn", Whole, "plants drawn, see audit_plants"),
    ],
    records: true,
    fill: audits,
};

/// The audits that leave.
fn each_audit(from: &Source, mut take: impl FnMut(Rooted<Audit>) -> Done) -> Done {
    from.leaving.moment.each::<Audit, _>(|audit| {
        match from.leaving.leaves(audit.entry.body.visit)? {
            true => take(audit),
            false => Ok(()),
        }
    })
}

fn audits(from: &Source, to: &mut dyn Sink) -> Done {
    let leaving = from.leaving;
    each_audit(from, |audit| {
        let it = &audit.entry.body;
        let own: Vec<Value<'_>> = vec![
            leaving.root(it.visit)?.into(),
            it.share.into(),
            it.draw_seed.into(),
            it.plants.into(),
            it.drawn.len().into(),
        ];
        to.record(leaving, &audit, own)
    })
}

pub(super) const AUDIT_PLANTS: Table = Table {
    name: "audit_plants",
    meaning: "the plants that an audit drew",
    own: &[
        column("audit", Text, "the audit, see audits.id"),
        column("number", Whole, "its place in the draw"),
        column("determination", Text, "the plant, see determinations.id"),
    ],
    records: false,
    fill: audit_plants,
};

fn audit_plants(from: &Source, to: &mut dyn Sink) -> Done {
    each_audit(from, |audit| {
        for (at, plant) in audit.entry.body.drawn.iter().enumerate() {
            let plant = from.leaving.root(*plant)?;
            to.row(&[audit.root.into(), (at + 1).into(), plant.into()])?;
        }
        Ok(())
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
        let (kind, of) = about(from, it.of)?;
        let file = from.pictures.get(&photo.root);
        let own = vec![
            kind.into(),
            of.into(),
            leaving.words(&it.shows).into(),
            file.map(String::as_str).into(),
            file.is_some().into(),
        ];
        to.record(leaving, &photo, own)
    })
}
