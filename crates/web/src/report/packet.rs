//! The packet for a programme's file: what its forms ask for, with empty lines to fill in by hand.
//!
//! In: a planting and a visit. Out: a printable page, and above it, not printed, what the book lacks.
//! It says that the agency decides, not this arithmetic.
//! Not here: advice; a file wants facts.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use standbook_fieldbook::record::{Counted, FrameShape, SeedingMethod};
use standbook_judge::Firmness;

use super::figures::{acres, height};
use super::gather::{Gathered, Place, label_id};
use super::page::Above;
use super::plain::{Answer, answer};
use super::section::{Cell, Section};
use super::spots::spots;
use super::told::{event_words, pictures, shape_words};
use super::{seed, tables};
use crate::app::{App, Shared, run};
use crate::failure::Failure;
use crate::form::Query;
use crate::here::Here;
use crate::page::{Shell, Tab, html};
use crate::stand::case::area_m2;
use crate::stand::resolve;
use crate::words::{date_words, number_of, purpose_words, taxon_name};

/// Empty lines for pictures, beside those in the book.
const PICTURE_LINES: usize = 4;

/// What the book has no field for: always a line to fill in.
const CONTRACT: &str = "Contract or practice number";

/// A field of the form.
#[derive(Debug, Clone, PartialEq)]
struct Field {
    /// Its name.
    name: &'static str,
    /// What the book has; empty: a line to fill in by hand.
    value: String,
}

/// The packet's content.
struct Filled {
    /// What the book lacks.
    missing: Vec<String>,
    /// Fields on top.
    fields: Vec<Field>,
    /// Result in plain words.
    answer: Answer,
    /// Whether the day was too early for a verdict.
    early: bool,
    /// Seed, tags, results, frames, pictures.
    sections: Vec<Section>,
    /// Sources of the rules.
    sources: Vec<super::cite::Listed>,
    /// Date of the packet.
    written: String,
}

#[derive(Template)]
#[template(path = "report/packet.html")]
struct PacketPage {
    /// The frame around the page.
    shell: Shell,
    /// Links above.
    above: Above,
    /// `Quill Farm, north forty`.
    name: String,
    /// Version of this program.
    version: &'static str,
    /// The content; `None`: nobody has been there.
    filled: Option<Filled>,
}

/// `GET /stand/{planting}/packet`.
pub(crate) async fn packet(
    State(app): State<Shared>,
    here: Here,
    Path(id): Path<String>,
    Query(query): Query,
) -> Result<Response, Failure> {
    run(app, move |app| {
        let place = Place::read(app, &id)?;
        let visit = place.visit(app, query.get("visit"))?;
        let above = Above::new(&place, visit.as_ref().map(|visit| visit.id));
        let name = place.name();
        let filled = match visit {
            Some(visit) => Some(fill(app, &Gathered::read(app, place, visit)?)),
            None => None,
        };
        html(&PacketPage {
            shell: Shell::new(app, &here, Tab::Stand, format!("Packet, {name}")),
            above,
            name,
            version: env!("CARGO_PKG_VERSION"),
            filled,
        })
    })
    .await
}

fn fill(app: &App, gathered: &Gathered) -> Filled {
    let fields = fields(gathered);
    let mut missing: Vec<String> = fields
        .iter()
        .filter(|field| field.value.is_empty() && field.name != CONTRACT)
        .map(|field| field.name.to_owned())
        .collect();
    missing.extend(missing_seed(app, gathered));
    if spots(gathered).iter().any(|spot| spot.position.is_none()) {
        missing.push("Position of some points".to_owned());
    }
    let lots: Vec<_> = gathered.lots.iter().map(|lot| lot.body.clone()).collect();
    let mut sources = super::cite::Sources::default();
    let mut tags = seed::lots(app, &lots, &mut sources);
    tags.table
        .rows
        .extend(empty_rows(&tags.table, if lots.is_empty() { 4 } else { 0 }));
    let sections = vec![
        seed::rates(app, gathered),
        tags,
        events(gathered),
        tables::thresholds(&gathered.judgement, &mut sources),
        frames(app, gathered),
        photo_lines(gathered),
    ];
    Filled {
        missing,
        fields,
        answer: answer(&gathered.judgement),
        early: gathered.judgement.verdict.firmness != Firmness::Fair,
        sections: sections
            .into_iter()
            .filter(|section| !section.is_empty())
            .collect(),
        sources: sources.list(),
        written: date_words(&gathered.today),
    }
}

/// Rows with nothing in them, to fill in by hand.
fn empty_rows(table: &super::section::Table, rows: usize) -> Vec<Vec<Cell>> {
    vec![vec![Cell::default(); table.head.len()]; rows]
}

fn fields(gathered: &Gathered) -> Vec<Field> {
    let planting = &gathered.place.planting.body;
    let site = gathered.place.site.as_ref().map(|site| &site.body);
    let of_site = |of: fn(&standbook_fieldbook::record::Site) -> &String| {
        site.map(of).cloned().unwrap_or_default()
    };
    let outline_m2: f64 = gathered
        .field_outline()
        .map(|outline| area_m2(&outline.body))
        .unwrap_or_default();
    let field = |name, value: String| Field { name, value };
    vec![
        field("Owner", of_site(|site| &site.owner)),
        field("Site", of_site(|site| &site.name)),
        field("Planting", planting.name.clone()),
        field("County", of_site(|site| &site.county)),
        field("State", of_site(|site| &site.state)),
        field("Farm number", planting.farm_number.clone()),
        field("Tract number", planting.tract_number.clone()),
        field("Field number", planting.field_number.clone()),
        field(
            "Acres stated",
            planting.stated_area_m2.map(acres).unwrap_or_default(),
        ),
        field(
            "Acres by the outline",
            if outline_m2 > 0.0 {
                acres(outline_m2)
            } else {
                String::new()
            },
        ),
        field("Purpose", purpose_words(planting.purpose).to_owned()),
        field(CONTRACT, String::new()),
        field("Seeding date", date_words(&planting.seeded_on)),
        field(
            "Seeding method",
            match planting.method {
                SeedingMethod::Drilled { row_spacing_cm } => {
                    format!("drilled, rows {} apart", height(row_spacing_cm))
                }
                SeedingMethod::Broadcast => "broadcast".to_owned(),
            },
        ),
        field(
            "Watered",
            match planting.irrigated {
                Some(true) => "yes".to_owned(),
                Some(false) => "no".to_owned(),
                None => String::new(),
            },
        ),
        field("Site preparation, cover crop", planting.note.clone()),
        field("Date of the count", date_words(&gathered.visit.body.on)),
        field("Counted by", gathered.visit.body.scouts.join(", ")),
        field(
            "Days since seeding",
            gathered.judgement.fairness.days_since_seeding.to_string(),
        ),
        field(
            "Growing season",
            gathered.judgement.season.number.to_string(),
        ),
    ]
}

/// What the book lacks of seed.
fn missing_seed(app: &App, gathered: &Gathered) -> Vec<String> {
    let mut missing = Vec::new();
    for item in &gathered.place.planting.body.mix {
        let name = taxon_name(app, &item.taxon).0;
        if item.planned_pls_lb_per_acre.is_none() {
            missing.push(format!("Planned rate of {name}"));
        }
        if item.pls_lb_per_acre.is_none() {
            missing.push(format!("Applied rate of {name}"));
        }
        let lots: Vec<_> = gathered
            .lots
            .iter()
            .filter(|lot| lot.body.taxon == item.taxon)
            .collect();
        if lots.is_empty() {
            missing.push(format!("Seed tag of {name}"));
        }
        for lot in lots {
            let lot = &lot.body;
            for (what, there) in [
                ("Purity", lot.purity_percent.is_some()),
                ("Germination", lot.germination_percent.is_some()),
                ("Dormant seed", lot.dormant_percent.is_some()),
                ("Test date", lot.tested.is_some()),
            ] {
                if !there {
                    missing.push(format!("{what} of lot {} ({name})", lot.lot));
                }
            }
        }
    }
    missing
}

fn events(gathered: &Gathered) -> Section {
    let mut section = Section::new("Done since seeding");
    section.table.head = vec![("Date", false), ("What", false), ("Note", false)];
    for event in &gathered.events {
        section.table.rows.push(vec![
            date_words(&event.body.on).into(),
            event_words(event.body.what).into(),
            event.body.note.clone().into(),
        ]);
    }
    section
}

/// Every frame, blind repeats marked.
fn frames(app: &App, gathered: &Gathered) -> Section {
    let mut section = Section::new("Frames");
    section.table.head = vec![
        ("Point", false),
        ("Frame", true),
        ("Found", false),
        ("Read by", false),
        ("Twice", false),
    ];
    let mut shapes: Vec<String> = Vec::new();
    for (spot, frame) in &gathered.frames {
        let shape = shape_words(frame.body.shape);
        if !shapes.contains(&shape) {
            shapes.push(shape);
        }
        let again = match super::frames::repeats(gathered, &frame.body) {
            Some(number) => format!("read again: frame {number}"),
            None => String::new(),
        };
        section.table.rows.push(vec![
            gathered.point_name(*spot).into(),
            Cell::with(frame.body.number.to_string(), again),
            found(app, gathered, &frame.body).into(),
            frame.body.scout.clone().into(),
            if frame.body.looked_twice { "yes" } else { "no" }.into(),
        ]);
    }
    if !section.table.rows.is_empty() {
        section.says.push(format!(
            "Read on {}. Laid: {}. Twice: gone over a second time for overlooked seedlings. The file of frames (CSV) has every cell.",
            date_words(&gathered.visit.body.on),
            shapes.join("; ")
        ));
    }
    section
}

/// What one frame held: `12 of 25 squares planted: big bluestem 9, ...`.
fn found(app: &App, gathered: &Gathered, frame: &standbook_fieldbook::record::Frame) -> String {
    if frame.tallies.is_empty() {
        return "looked, none".to_owned();
    }
    let mut names: Vec<(String, u64)> = Vec::new();
    let mut cells: std::collections::BTreeSet<u32> = std::collections::BTreeSet::new();
    for tally in &frame.tallies {
        let name = name_of(app, gathered, &tally.what);
        let more = tally.plants.map_or(1, u64::from);
        match names.iter_mut().find(|(known, _)| *known == name) {
            Some((_, n)) => *n += more,
            None => names.push((name, more)),
        }
        cells.extend(tally.cell);
    }
    let list = |between: &str, after: &str| {
        let said = names
            .iter()
            .map(|(name, n)| format!("{name}{between}{n}{after}"));
        said.collect::<Vec<_>>().join(", ")
    };
    match frame.shape {
        FrameShape::Grid { cells: all, .. } => {
            format!(
                "{} of {all} cells held something: {}",
                cells.len(),
                list(" in ", "")
            )
        }
        FrameShape::Quadrat { .. } | FrameShape::Row { .. } => list(": ", " plants"),
    }
}

fn name_of(app: &App, gathered: &Gathered, what: &Counted) -> String {
    match gathered.counts_as(what) {
        resolve::Label::Taxon(id) => taxon_name(app, &id).0,
        label => label_id(&gathered.unknowns, &label).replace('_', " "),
    }
}

/// Pictures in the book, then empty lines.
fn photo_lines(gathered: &Gathered) -> Section {
    let mut section = pictures(gathered);
    section.title = "Pictures for the file";
    let known = section.table.rows.len();
    let empty = empty_rows(&section.table, PICTURE_LINES);
    section.table.rows.extend(empty);
    for (at, row) in section.table.rows.iter_mut().enumerate().skip(known) {
        row[0] = (at + 1).to_string().into();
    }
    section.says.push(match known {
        0 => "No picture is in the book. Number the prints as in this list.".to_owned(),
        n => format!(
            "{} in the book. Number the prints as in this list.",
            number_of(n, "picture")
        ),
    });
    section
}
