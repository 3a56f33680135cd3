//! A frame of a question, with what its plants look like: drawn whole, by the cell, and plant by plant.
//!
//! In: the kinds that may stand in it, leaf stage, seed; the key. Out: drawings. Which plant is of which
//! kind comes in by what it shows and by nothing else, so that no drawing says more than a plant does.
//! Not here: what stands where (`standbook_practice::frame`), strokes (`standbook_drawing`).

use standbook_drawing::frame::{Lying, Seen, Standing, frame};
use standbook_drawing::{Drawing, Shown, base, collar, seedling};
use standbook_key::LeafStage;
use standbook_practice::frame::{Frame, Plant, Role, SIDE_CM};

use crate::app::App;
use crate::failure::Failure;
use crate::picture;

/// From where a frame is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum From {
    /// Where it was laid from.
    Here,
    /// From the other side, for the second look: what hid a plant now lies behind it.
    OtherSide,
}

impl From {
    /// Cells in the order in which they lie before the scout.
    pub fn cells(self) -> Vec<u32> {
        let cells = 1..=standbook_practice::frame::CELLS;
        match self {
            From::Here => cells.collect(),
            From::OtherSide => cells.rev().collect(),
        }
    }

    fn turned(self, (x, y): (f64, f64)) -> (f64, f64) {
        match self {
            From::Here => (x, y),
            From::OtherSide => (SIDE_CM - x, SIDE_CM - y),
        }
    }
}

/// A frame that lies there.
#[derive(Debug)]
pub(crate) struct Laid {
    /// Planted kinds, ids of taxa.
    pub planted: Vec<String>,
    /// Other kinds.
    others: Vec<String>,
    /// What stands where.
    pub frame: Frame,
    /// What each of its plants shows, in their order.
    shown: Vec<Shown>,
}

impl Laid {
    /// Lays it.
    ///
    /// # Errors
    /// [`Failure::BadRequest`] for a kind that the key does not have.
    pub fn of(
        app: &App,
        planted: &[String],
        others: &[String],
        stage: LeafStage,
        seed: u32,
    ) -> Result<Laid, Failure> {
        let looks = |ids: &[String]| -> Result<Vec<Shown>, Failure> {
            let each = ids.iter().map(|id| {
                let taxon = app.key.taxon(id).ok_or_else(|| {
                    Failure::BadRequest(format!(
                        "This frame is to hold \u{201c}{id}\u{201d}, which the key in use does not have. Take another frame, or open the book with the key it was made with."
                    ))
                })?;
                Ok(picture::usual(&app.table, taxon))
            });
            each.collect()
        };
        let kinds = [looks(planted)?, looks(others)?];
        let frame = Frame::laid(planted.len(), others.len(), stage, seed);
        let shown = frame.plants.iter().map(|one| {
            let of_role = &kinds[usize::from(one.role == Role::Other)];
            of_role.get(one.kind).cloned().unwrap_or_default()
        });
        Ok(Laid {
            planted: planted.to_vec(),
            others: others.to_vec(),
            shown: shown.collect(),
            frame,
        })
    }

    /// The taxon of a plant.
    pub fn taxon(&self, plant: &Plant) -> &str {
        self.kinds(plant.role)
            .get(plant.kind)
            .map_or("", String::as_str)
    }

    /// The kinds of a role, ids of taxa.
    pub fn kinds(&self, role: Role) -> &[String] {
        match role {
            Role::Planted => &self.planted,
            Role::Other => &self.others,
        }
    }

    /// The whole frame.
    pub fn whole(&self, from: From) -> Drawing {
        self.drawn(from, Seen::FRAME)
    }

    /// One cell from nearer.
    pub fn cell(&self, cell: u32, from: From) -> Drawing {
        let at = from.cells().iter().position(|one| *one == cell);
        let at = at.and_then(|at| u32::try_from(at).ok()).unwrap_or_default();
        self.drawn(from, Seen::cell(at + 1))
    }

    fn drawn(&self, from: From, seen: Seen) -> Drawing {
        let plants: Vec<Standing> = self
            .frame
            .plants
            .iter()
            .zip(&self.shown)
            .map(|(one, shown)| Standing {
                shown: shown.clone(),
                stage: one.stage,
                specimen: one.specimen.into(),
                at: from.turned(one.at),
                height_cm: one.height_cm,
                mirrored: one.mirrored != (from == From::OtherSide),
            })
            .collect();
        let straws: Vec<Lying> = self
            .frame
            .straws
            .iter()
            .map(|straw| Lying {
                at: from.turned(straw.at),
                length_cm: straw.length_cm,
                degrees: straw.degrees,
            })
            .collect();
        frame(&plants, &straws, seen)
    }

    /// The plants whose base is in a cell, from left to right as they lie before the scout: what each is,
    /// and what it shows.
    pub fn in_cell(&self, cell: u32, from: From) -> Vec<(&Plant, &Shown)> {
        let all = self.frame.plants.iter().zip(&self.shown);
        let mut here: Vec<(&Plant, &Shown)> = all.filter(|(one, _)| one.cell() == cell).collect();
        here.sort_by(|(a, _), (b, _)| from.turned(a.at).0.total_cmp(&from.turned(b.at).0));
        here
    }
}

/// A plant taken up: whole, and from two leaves on its base and its collar, each with a word for what it is.
pub(crate) fn taken_up(plant: &Plant, shown: &Shown) -> Vec<(&'static str, Drawing)> {
    let specimen = u64::from(plant.specimen);
    let mut views = vec![("whole", seedling(shown, plant.stage, specimen))];
    // At one leaf there is no collar to pull back and no base to cut.
    if plant.stage > LeafStage::OneLeaf {
        views.push(("base, and the shoot cut across", base(shown, specimen)));
        views.push(("collar, blade pulled back", collar(shown, specimen)));
    }
    views
}
