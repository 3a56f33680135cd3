//! Identifications: for every occurrence that is present, the scout's name and every opinion since.

use std::borrow::Cow;

use standbook_fieldbook::record::Opinion;
use standbook_fieldbook::{RecordId, Rooted};

use super::occurrence::{in_frame_id, name_cells};
use super::sheet::Rows;
use crate::error::{Done, ExportError};
use crate::leaving::Leaving;
use crate::settled::InFrame;
use crate::taxa::Named;

/// The occurrence that is named.
struct Of {
    event: RecordId,
    occurrence: String,
}

pub(super) fn write(leaving: &Leaving, rows: &mut Rows) -> Done {
    leaving.each_spot(|spot| {
        leaving.moment.each_frame(spot.point.root, |frame| {
            for it in leaving.in_frame(&frame.entry.body)? {
                let of = Of {
                    event: frame.root,
                    occurrence: in_frame_id(frame.root, &it.code),
                };
                let scout = leaving.people.say(&frame.entry.body.scout);
                let (named, remarks) = by_scout(leaving, &it);
                let on = spot.visit.entry.body.on.as_str();
                let id = of.occurrence.clone();
                row(leaving, rows, &of, id, &named, (scout, on), remarks)?;
                let opinions = it.known.iter().flat_map(|known| &known.opinions);
                history(leaving, rows, &of, opinions)?;
            }
            Ok::<_, ExportError>(())
        })?;
        leaving.moment.each_determination(spot.point.root, |plant| {
            let entry = &plant.entry;
            let of = Of {
                event: spot.point.root,
                occurrence: plant.root.to_string(),
            };
            let named = leaving.taxa.by_scout(entry.body.taxon.as_deref());
            let by = (leaving.author(entry), entry.born_at.as_str());
            let outcome = entry.body.evidence.outcome.replace('_', " ");
            let remarks = format!("the scout's name; by the key: {outcome}");
            let id = of.occurrence.clone();
            row(leaving, rows, &of, id, &named, by, remarks)?;
            let opinions = leaving.moment.opinions(plant.root)?;
            let known = entry
                .body
                .unknown
                .map(|id| leaving.unknown(id))
                .transpose()?;
            let of_unknown = known.flatten();
            let of_unknown = of_unknown.iter().flat_map(|known| &known.opinions);
            history(leaving, rows, &of, opinions.iter().chain(of_unknown))
        })
    })
}

fn by_scout(leaving: &Leaving, it: &InFrame) -> (Named, String) {
    match &it.known {
        Some(known) => {
            let words = leaving.words(&known.unknown.entry.body.description);
            (Named::nothing(&known.code()), words.to_owned())
        }
        None => (
            leaving.taxa.by_scout(Some(&it.code)),
            "the scout's name".to_owned(),
        ),
    }
}

fn history<'b>(
    leaving: &Leaving,
    rows: &mut Rows,
    of: &Of,
    opinions: impl Iterator<Item = &'b Rooted<Opinion>>,
) -> Done {
    for opinion in opinions {
        let entry = &opinion.entry;
        let named = leaving.taxa.by_opinion(&entry.body);
        let by = (leaving.author(entry), entry.born_at.as_str());
        // One opinion on an unknown names many occurrences.
        let id = format!("{}:{}", of.occurrence, opinion.root);
        let reasons = leaving.words(&entry.body.reasons);
        let remarks = match reasons {
            "" => "second opinion".to_owned(),
            reasons => format!("second opinion: {reasons}"),
        };
        row(leaving, rows, of, id, &named, by, remarks)?;
    }
    Ok(())
}

fn row(
    leaving: &Leaving,
    rows: &mut Rows,
    of: &Of,
    id: String,
    named: &Named,
    (by, on): (Cow<'_, str>, &str),
    remarks: String,
) -> Done {
    let mut cells = name_cells(leaving, named);
    cells.extend([
        ("eventID", of.event.to_string().into()),
        ("occurrenceID", of.occurrence.as_str().into()),
        ("identificationID", id.into()),
        ("identifiedBy", by),
        ("dateIdentified", on.into()),
        ("identificationRemarks", remarks.into()),
        ("kingdom", crate::taxa::KINGDOM.into()),
    ]);
    rows.put(&cells)
}
