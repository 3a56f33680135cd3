//! What a marked frame shows, in words.
//!
//! In: a score, a frame, a slip. Out: sentences for the page that tells what stood in it.

use standbook_practice::frame::{Plant, Role, Size, cm_from};
use standbook_practice::frame_score::{PUBLISHED_MISNAMED, PUBLISHED_OVERLOOKED, Score, Slip, Sum};

use super::laid::Laid;
use crate::app::App;
use crate::words::{number_of, percent, plain, taxon_name};

/// A line of the table by size.
pub(super) struct OfSize {
    /// In words.
    pub size: &'static str,
    /// Its cells.
    pub sum: Sum,
}

/// How it went, in sentences.
pub(super) fn sums(score: &Score) -> Vec<String> {
    let cells = |n: u32| number_of(usize::try_from(n).unwrap_or(usize::MAX), "cell");
    let of = |sum: Sum, what: &str, taken_for: &str| match sum.stands {
        0 => format!("{what} stood in no cell."),
        all => format!(
            "{what} stood in {}: {} seen, {} overlooked, {} marked as {taken_for}.",
            cells(all),
            sum.seen,
            sum.overlooked,
            sum.misnamed
        ),
    };
    let mut said = vec![
        of(score.planted, "Planted grass", "something else"),
        of(score.other, "Something else", "planted"),
    ];
    let not_there = score.planted.not_there + score.other.not_there;
    if not_there > 0 {
        said.push(format!(
            "Marked where nothing explains it: {}.",
            cells(not_there)
        ));
    }
    said
}

/// The share overlooked beside the published one; none where nothing planted stood.
pub(super) fn beside(planted: Sum) -> Option<String> {
    let (overlooked, misnamed) = planted.overlooked_share().zip(planted.misnamed_share())?;
    let published = |share: f64| plain(share * 100.0);
    Some(format!(
        "Of the cells with a planted grass you overlooked {} and misnamed {}. Trained observers in a Kansas tallgrass prairie overlooked {} % and misnamed {} %; theirs were species in plots, so the two are near one another and not the same. One frame has few cells: the share over many frames says more.",
        percent(overlooked),
        percent(misnamed),
        published(PUBLISHED_OVERLOOKED),
        published(PUBLISHED_MISNAMED)
    ))
}

pub(super) fn sizes(score: &Score) -> Vec<OfSize> {
    let each = Size::ALL.iter().filter_map(|size| {
        Some(OfSize {
            size: match size {
                Size::Small => "small, below 4 cm",
                Size::Medium => "4 to 8 cm",
                Size::Large => "8 cm and more",
            },
            sum: *score.by_size.get(size)?,
        })
    });
    each.collect()
}

/// `switchgrass, planted: 3 cm high, two to four leaves`.
pub(super) fn plant_words(app: &App, laid: &Laid, plant: &Plant) -> String {
    format!(
        "{}, {}: {:.0} cm high, {}",
        taxon_name(app, laid.taxon(plant)).0,
        role_words(plant.role),
        plant.height_cm,
        plant.stage.name()
    )
}

fn role_words(role: Role) -> &'static str {
    match role {
        Role::Planted => "planted",
        Role::Other => "something else",
    }
}

/// The largest plant of a role in a cell: the one that a scout would name first.
pub(super) fn largest(laid: &Laid, cell: u32, role: Role) -> Option<&Plant> {
    let of_role = laid.frame.in_cell(cell).filter(|plant| plant.role == role);
    of_role.max_by(|a, b| a.height_cm.total_cmp(&b.height_cm))
}

/// What went amiss, in a sentence.
pub(super) fn said(app: &App, laid: &Laid, cell: u32, slip: Slip) -> String {
    let what = |role| match largest(laid, cell, role) {
        Some(plant) => {
            let size = match plant.size() {
                Size::Small => "a small plant of ",
                Size::Medium | Size::Large => "",
            };
            format!("{size}{}", taxon_name(app, laid.taxon(plant)).0)
        }
        None => role_words(role).to_owned(),
    };
    match slip {
        Slip::Overlooked(role) => {
            format!("Overlooked: {} stands here and was not marked.", what(role))
        }
        Slip::Misnamed(Role::Planted) => format!(
            "Misnamed: {} stands here, which is planted; you marked something else.",
            what(Role::Planted)
        ),
        Slip::Misnamed(Role::Other) => format!(
            "Misnamed: {} stands here, which is something else; you marked planted.",
            what(Role::Other)
        ),
        Slip::NotThere(role) => {
            let near = hanging_in(laid, cell, role).map_or_else(String::new, |from| {
                format!(" The nearest has its base in cell {from}: there it counts, wherever its leaves hang.")
            });
            match role {
                Role::Planted => {
                    format!(
                        "Not there: you marked planted, and nothing planted has its base here.{near}"
                    )
                }
                Role::Other => {
                    format!(
                        "Not there: you marked something else, and nothing else has its base here.{near}"
                    )
                }
            }
        }
    }
}

/// The cell beside this one from which a plant of a role can hang in: its base is nearer than it is high.
fn hanging_in(laid: &Laid, cell: u32, role: Role) -> Option<u32> {
    let near = laid.frame.plants.iter().filter(|plant| plant.role == role);
    let near = near.map(|plant| (plant, cm_from(plant.at, cell)));
    let near = near.filter(|(plant, cm)| *cm < plant.height_cm);
    near.min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(plant, _)| plant.cell())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_published_stands_beside_ones_own_share() {
        let said = beside(Sum {
            stands: 8,
            seen: 6,
            overlooked: 1,
            misnamed: 1,
            not_there: 0,
        })
        .unwrap_or_default();
        assert!(
            said.contains("you overlooked 13 % and misnamed 13 %"),
            "{said}"
        );
        assert!(
            said.contains("overlooked 18.6 % and misnamed 1.4 %"),
            "{said}"
        );
        assert_eq!(beside(Sum::default()), None);
    }
}
