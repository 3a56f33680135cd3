//! One unknown: where it was seen, what uses it, and settling it.
//!
//! In: an unknown's id, of any version. Out: its page; an opinion kept. Settling it settles every
//! tally and determination that uses it, and the page says how the stand changes by that.

use askama::Template;
use axum::extract::multipart::{Multipart, MultipartRejection};
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::named::Called;
use standbook_fieldbook::record::{Counted, Unknown};
use standbook_fieldbook::{BookError, Entry, RecordId};
use standbook_stand::summary::Summary;

use super::give::{self, Looked, OpinionForm};
use super::names::name_of;
use super::opinion::{self, Shown};
use super::subject::Kind;
use super::with_plant::WithPlant;
use crate::app::{App, Shared, run};
use crate::failure::{Failure, record_id};
use crate::form::Form;
use crate::here::Here;
use crate::page::{Shell, Tab};
use crate::photos::form::{self, PhotoForm};
use crate::photos::gallery::Gallery;
use crate::plot::filled::{Filled, respond};
use crate::plot::keep::saved;
use crate::plot::place::Place;
use crate::stand::name::Name;
use crate::stand::numbers::{ALL_PLANTED, Walked};
use crate::stand::part::grid_words;
use crate::stand::resolve::{Label, Unknowns};
use crate::stand::sentence;
use crate::words::{date_words, instant_words, number_of, outcome_words};

/// A frame or determination that uses the unknown.
struct Use {
    address: String,
    title: String,
    more: String,
}

/// How settling changed the stand of one visit.
struct Change {
    /// Kind of frame and visit.
    title: String,
    /// The answer if it were not settled.
    before: String,
    /// The answer now.
    now: String,
}

#[derive(Template)]
#[template(path = "desk/unknown.html")]
struct UnknownPage {
    /// The frame around the page.
    shell: Shell,
    /// Its id.
    id: RecordId,
    /// Its number.
    number: u32,
    /// What it looks like, in the scout's words.
    description: String,
    /// Who recorded it, and when.
    recorded: String,
    /// Where it was first seen.
    first_seen: String,
    /// The point where it was first seen.
    point: RecordId,
    /// Date of its visit.
    visit: String,
    /// Site and planting.
    planting: String,
    /// The name it was settled as, and by whom.
    settled: Option<(Name, String)>,
    /// Frames and determinations that use it.
    uses: Vec<Use>,
    /// How many tallies use it, in words.
    tallies: String,
    /// How the stand stands with and without the settling.
    changes: Vec<Change>,
    /// The stand of its visit.
    stand: String,
    /// Opinions, oldest first.
    opinions: Vec<Shown>,
    /// The form that settles it.
    form: OpinionForm,
    /// Specimens, and flags to come back.
    with_plant: WithPlant,
    /// Photos.
    gallery: Gallery,
    /// The form for photos.
    photos: PhotoForm,
}

/// `GET /unknowns/{id}`.
pub(super) async fn show(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let entry = find(app, &id)?;
        page(
            app,
            &here,
            &entry,
            give::blank(&here),
            PhotoForm::blank(&here),
        )
    })
    .await
}

/// `POST /unknowns/{id}/opinions`.
pub(super) async fn settle(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    form: Form,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let entry = find(app, &id)?;
        match give::give(app, &here, entry.id, form, Looked::default())? {
            Ok(author) => Ok(saved(&format!("/unknowns/{}", entry.id), &author, None)),
            Err(filled) => page(app, &here, &entry, filled, PhotoForm::blank(&here)),
        }
    })
    .await
}

/// `POST /unknowns/{id}/photos`.
pub(super) async fn add_photos(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    multipart: Result<Multipart, MultipartRejection>,
) -> Result<Response, Failure> {
    let upload = form::read(multipart).await?;
    run(app, move |app| {
        let entry = find(app, &id)?;
        match form::take(app, &here, entry.id, upload) {
            Ok(author) => {
                let to = format!("/unknowns/{}#photos", entry.id);
                Ok(saved(&to, &author, None))
            }
            Err(filled) => page(app, &here, &entry, give::blank(&here), filled),
        }
    })
    .await
}

fn find(app: &App, id: &str) -> Result<Entry<Unknown>, Failure> {
    let what = "unknown";
    app.book
        .unknown(record_id(id, what)?)?
        .ok_or(Failure::NotFound { what })
}

fn page(
    app: &App,
    here: &Here,
    entry: &Entry<Unknown>,
    filled: Filled,
    photo: Filled,
) -> Result<Response, Failure> {
    let place = Place::load(app, entry.body.first_seen)?;
    let unknowns = Unknowns::read(app, [entry.id])?;
    let opinions = unknowns
        .get(entry.id)
        .map_or(&[][..], |known| known.opinions.as_slice());
    let mut uses = Vec::new();
    let mut n_tallies = 0;
    let mut changes = Vec::new();
    // Tallies of later visits may use it too.
    for visit in app.book.visits(place.planting.id)? {
        let on = date_words(&visit.body.on);
        let walked = Walked::read(app, place.planting.clone(), &visit)?;
        let n = tallies(&walked, entry.id, &on, &mut uses);
        if n > 0 && !opinions.is_empty() {
            changes.extend(changed(&walked, entry.id, &on)?);
        }
        n_tallies += n;
    }
    uses.extend(determinations(app, entry.id)?);
    let address = format!("/unknowns/{}", entry.id);
    let button = if opinions.is_empty() {
        "Settle it"
    } else {
        "Settle it anew"
    };
    let gallery = Gallery::of_unknown(app, entry.id)?;
    let photos = PhotoForm::new(
        format!("{address}/photos"),
        entry.id,
        gallery.shows(),
        photo,
    );
    let page = UnknownPage {
        shell: Shell::new(
            app,
            here,
            Tab::Desk,
            format!("Unknown {}", entry.body.number),
        ),
        id: entry.id,
        number: entry.body.number,
        description: entry.body.description.clone(),
        recorded: format!("{}, {}", entry.author, instant_words(&entry.born_at)),
        first_seen: place.words(),
        point: place.point.id,
        visit: place.visit_words(),
        planting: format!("{}, {}", place.site.body.name, place.planting.body.name),
        settled: opinions.last().map(|last| {
            let by = format!("{}, {}", last.author, instant_words(&last.born_at));
            (name_of(&Called::by_opinion(&last.body), app), by)
        }),
        uses,
        tallies: number_of(n_tallies, "tally").replace("tallys", "tallies"),
        changes,
        stand: format!("/stand/{}?visit={}", place.planting.id, place.visit.id),
        opinions: opinion::shown(app, opinions, entry.id)?,
        form: OpinionForm::new(
            app,
            format!("{address}/opinions"),
            button,
            &place.planting.body,
            filled,
        ),
        with_plant: WithPlant::of(app, Kind::Unknown, entry.id, here.who.may_use_desk())?,
        gallery,
        photos,
    };
    let troubles = match page.form.filled.troubles.none() {
        true => &page.photos.filled.troubles,
        false => &page.form.filled.troubles,
    };
    respond(troubles, &page)
}

/// Adds the frames of a visit that use the unknown; gives the number of tallies.
fn tallies(walked: &Walked, id: RecordId, on: &str, uses: &mut Vec<Use>) -> usize {
    let mut all = 0;
    for (spot, frame) in &walked.frames {
        let mine = frame.body.tallies.iter().filter(|tally| match tally.what {
            Counted::Unknown(named) => walked
                .unknowns
                .get(named)
                .is_some_and(|known| known.entry.id == id),
            Counted::Taxon(_) => false,
        });
        let (mut cells, mut plants, mut n) = (Vec::new(), 0_u32, 0);
        for tally in mine {
            n += 1;
            cells.extend(tally.cell.map(|cell| cell.to_string()));
            plants = plants.saturating_add(tally.plants.unwrap_or(0));
        }
        if n == 0 {
            continue;
        }
        all += n;
        let found = match cells.len() {
            0 => number_of(usize::try_from(plants).unwrap_or(usize::MAX), "plant"),
            1 => format!("cell {}", cells.join(", ")),
            _ => format!("cells {}", cells.join(", ")),
        };
        uses.push(Use {
            address: format!("/frames/{}", frame.id),
            title: format!("{}, frame {}", walked.spot_name(*spot), frame.body.number),
            more: format!("{found}; {}, visit of {on}", frame.body.scout),
        });
    }
    all
}

fn determinations(app: &App, id: RecordId) -> Result<Vec<Use>, BookError> {
    Ok(app
        .book
        .determinations_of(id)?
        .into_iter()
        .map(|determination| Use {
            address: format!("/determinations/{}", determination.id),
            title: format!(
                "Determination: {}",
                name_of(&Called::by_scout(&determination.body), app).common
            ),
            more: format!(
                "{}; {}, {}",
                outcome_words(&determination.body.evidence.outcome),
                determination.author,
                instant_words(&determination.born_at)
            ),
        })
        .collect())
}

/// The answers of a visit's stand with this unknown open, and as it is now.
fn changed(walked: &Walked, id: RecordId, on: &str) -> Result<Vec<Change>, Failure> {
    let sum = |unknowns: &Unknowns| {
        walked.summary_with(unknowns).map_err(|error| {
            Failure::BadRequest(format!(
                "The stand can't be summed up: {error}. Correct that frame under Count."
            ))
        })
    };
    let before = answers(&sum(&walked.unknowns.as_if_unsettled(id))?);
    let now = answers(&sum(&walked.unknowns)?);
    // The same frames give the same kinds, in the same order.
    Ok(before
        .into_iter()
        .zip(now)
        .map(|((kind, before), (_, now))| Change {
            title: format!("{kind}, visit of {on}"),
            before,
            now,
        })
        .collect())
}

/// For every kind of frame its name and its answer.
fn answers(summary: &Summary<Label>) -> Vec<(String, String)> {
    let grids = summary.grids.iter().filter_map(|grid| {
        let group = grid.groups.first()?;
        let answer = sentence::of_grid(ALL_PLANTED, group, grid.frames, grid.spots);
        Some((grid_words(grid.grid), answer))
    });
    let quadrats = summary.quadrats.iter().filter_map(|quadrats| {
        let group = quadrats.groups.first()?;
        let answer = sentence::of_quadrats(ALL_PLANTED, group, quadrats.frames, quadrats.spots);
        Some(("Quadrats".to_owned(), answer))
    });
    grids.chain(quadrats).collect()
}
