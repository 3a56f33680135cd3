//! A filled book with the real key, and requests to the site in this process.
//!
//! Places and people are invented. The numbers of the frames are in [`PLANTED_CELLS`]; what
//! they must give was worked out apart from this program (see `stand.rs`).
#![allow(dead_code, clippy::unwrap_used)]

pub mod camera;
pub mod markup;

use std::path::Path;
use std::sync::Arc;

use axum::body::Body as HttpBody;
use axum::http::{Request, StatusCode};
use standbook_fieldbook::record::*;
use standbook_fieldbook::{Book, RecordId};
use standbook_identify::{Planted, Table, assess, parse};
use standbook_key::standards::{self, StandardFiles, Standards};
use standbook_key::{Key, KeyFiles};
use standbook_web::{App, router};
use tower::ServiceExt;

/// Cells with big bluestem: six spots with two frames of 25 cells each.
pub const PLANTED_CELLS: [[u32; 2]; 6] = [[12, 10], [3, 5], [15, 14], [0, 0], [9, 11], [6, 4]];

/// The book and what is in it.
pub struct Sample {
    pub folder: tempfile::TempDir,
    pub app: Arc<App>,
    pub site: RecordId,
    pub planting: RecordId,
    pub plot: RecordId,
    pub visit: RecordId,
    pub points: Vec<RecordId>,
    pub unknown: RecordId,
    pub determination: RecordId,
}

/// An answer of the site.
pub struct Answer {
    pub status: StatusCode,
    pub location: String,
    pub content_type: String,
    pub cookies: String,
    /// As what the browser keeps it.
    pub disposition: String,
    pub bytes: Vec<u8>,
}

impl Answer {
    /// The page; a space that keeps a number with its sign is read as a space.
    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.bytes).replace('\u{a0}', " ")
    }

    /// The page holds this text.
    #[track_caller]
    pub fn holds(&self, text: &str) -> &Answer {
        let page = self.text();
        assert!(
            page.contains(text),
            "no \u{201c}{text}\u{201d} in ({}):\n{page}",
            self.status
        );
        self
    }

    /// The page does not hold this text.
    #[track_caller]
    pub fn lacks(&self, text: &str) -> &Answer {
        let page = self.text();
        assert!(
            !page.contains(text),
            "there is \u{201c}{text}\u{201d} in:\n{page}"
        );
        self
    }
}

pub fn key() -> Key {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../keys/tallgrass-first-year");
    standbook_key::load(&KeyFiles::read_folder(&folder).unwrap())
        .key
        .unwrap()
}

pub fn record(body: impl Into<Body>) -> Record {
    Record {
        id: RecordId::new(),
        born_at: standbook_fieldbook::time::now(),
        received_at: None,
        device: "laptop".to_owned(),
        author: "A. Fenn".to_owned(),
        supersedes: None,
        body: body.into(),
    }
}

pub fn cells(what: &Counted, cells: impl IntoIterator<Item = u32>) -> Vec<Tally> {
    cells
        .into_iter()
        .map(|cell| Tally {
            cell: Some(cell),
            what: what.clone(),
            plants: None,
        })
        .collect()
}

pub fn frame(point: RecordId, number: u32, tallies: Vec<Tally>) -> Frame {
    Frame {
        point,
        number,
        scout: "A. Fenn".to_owned(),
        shape: FrameShape::Grid {
            cells: 25,
            cell_side_cm: 15.0,
        },
        tallies,
        looked_twice: true,
        repeats: None,
    }
}

/// A determination with the evidence of these answers, as the engine sees it.
pub fn determination(
    key: &Key,
    table: &Table,
    point: RecordId,
    taxon: Option<&str>,
    given: &[(&str, ValueGiven)],
) -> Determination {
    let mut evidence = standbook_identify::Evidence::default();
    for (id, value) in given {
        let text = match value {
            ValueGiven::States(states) => states.join("|"),
            ValueGiven::Measure(number) => number.to_string(),
            ValueGiven::CannotTell => "cannot_tell".to_owned(),
        };
        if let Some(answer) = parse(key, table, id, &text).unwrap() {
            evidence.add(answer);
        }
    }
    let said = assess(table, &evidence, Planted::ByRole);
    Determination {
        point,
        cell: Some(7),
        unknown: None,
        taxon: taxon.map(str::to_owned),
        note: String::new(),
        evidence: Evidence {
            key: key.id.clone(),
            table_fingerprint: table.fingerprint.clone(),
            leaf_stage: "tillering".to_owned(),
            tools: vec!["lens".to_owned()],
            prior: PriorUsed::Even,
            answers: given
                .iter()
                .map(|(id, value)| AnswerGiven {
                    r#trait: (*id).to_owned(),
                    value: value.clone(),
                })
                .collect(),
            outcome: said.outcome.id().to_owned(),
            ranking: said
                .ranking
                .iter()
                .map(|(row, probability)| Ranked {
                    taxon: table.rows[*row].id.to_string(),
                    probability: *probability,
                })
                .collect(),
        },
    }
}

pub fn states(ids: &[&str]) -> ValueGiven {
    ValueGiven::States(ids.iter().map(|id| (*id).to_owned()).collect())
}

pub fn taxon(id: &str) -> Counted {
    Counted::Taxon(id.to_owned())
}

impl Sample {
    /// Site, planting, plot, visit and six points; nothing counted yet.
    pub fn empty() -> Sample {
        Sample::with_mix(&[
            "andropogon_gerardi",
            "sorghastrum_nutans",
            "bouteloua_curtipendula",
        ])
    }

    pub fn with_mix(mix: &[&str]) -> Sample {
        let folder = tempfile::tempdir().unwrap();
        let book = Book::create(folder.path().join("season.book")).unwrap();
        let site = record(Site {
            name: "Quill Farm".into(),
            locality: "Marl County".into(),
            permission: String::new(),
            owner: String::new(),
            county: String::new(),
            state: String::new(),
        });
        let planting = record(Planting {
            site: site.id,
            name: "north forty".into(),
            purpose: Purpose::Forage,
            seeded_on: "2026-05-12".into(),
            method: SeedingMethod::Broadcast,
            mix: mix
                .iter()
                .map(|id| MixItem {
                    taxon: (*id).to_owned(),
                    pls_lb_per_acre: None,
                    planned_pls_lb_per_acre: None,
                })
                .collect(),
            farm_number: String::new(),
            tract_number: String::new(),
            field_number: String::new(),
            stated_area_m2: None,
            irrigated: None,
            note: String::new(),
        });
        let plot = record(Plot {
            planting: planting.id,
            name: "North".into(),
            note: String::new(),
        });
        let visit = record(Visit {
            planting: planting.id,
            on: "2026-07-14".into(),
            scouts: vec!["A. Fenn".into(), "B. Reed".into()],
            note: String::new(),
        });
        let points: Vec<Record> = (1..=6)
            .map(|n| {
                record(Point {
                    plot: plot.id,
                    visit: visit.id,
                    label: n.to_string(),
                    position: None,
                    planned: None,
                    unreachable: String::new(),
                })
            })
            .collect();
        let unknown = record(Unknown {
            visit: visit.id,
            number: 3,
            description: "hairy, flat base".into(),
            first_seen: points[0].id,
        });
        let app = Arc::new(App::new(book, key(), false).judging_by(standards()));
        let sample = Sample {
            folder,
            site: site.id,
            planting: planting.id,
            plot: plot.id,
            visit: visit.id,
            points: points.iter().map(|p| p.id).collect(),
            unknown: unknown.id,
            determination: RecordId::new(),
            app,
        };
        let mut all = vec![site, planting, plot, visit, unknown];
        all.extend(points);
        sample.app.book.append(all).unwrap();
        sample
    }

    /// As `empty`, with twelve frames and a determination; unknown 3 in three cells that hold
    /// nothing else when `with_unknown`.
    pub fn counted(with_unknown: bool) -> Sample {
        let mut sample = Sample::empty();
        let unknown = Counted::Unknown(sample.unknown);
        for (at, frames) in PLANTED_CELLS.iter().enumerate() {
            for (n, planted) in frames.iter().enumerate() {
                let mut tallies = cells(&taxon("andropogon_gerardi"), 1..=*planted);
                tallies.extend(cells(&taxon("setaria_faberi"), [24, 25]));
                if with_unknown && n == 0 && at == 0 {
                    tallies.extend(cells(&unknown, [20, 21]));
                }
                if with_unknown && n == 0 && at == 3 {
                    tallies.extend(cells(&unknown, [22]));
                }
                let number = u32::try_from(n).unwrap() + 1;
                sample.keep(frame(sample.points[at], number, tallies));
            }
        }
        let one = sample.determine(
            Some("andropogon_gerardi"),
            &[
                ("tiller_base", states(&["slightly_flattened"])),
                ("sheath_hairs", states(&["sparse", "dense"])),
                ("ligule_type", states(&["membrane"])),
                ("vernation", ValueGiven::CannotTell),
            ],
        );
        sample.determination = sample.keep(one);
        sample
    }

    pub fn determine(&self, taxon: Option<&str>, given: &[(&str, ValueGiven)]) -> Determination {
        determination(&self.app.key, &self.app.table, self.points[0], taxon, given)
    }

    /// Keeps one body and gives its id.
    #[track_caller]
    pub fn keep(&self, body: impl Into<Body>) -> RecordId {
        self.keep_record(record(body))
    }

    #[track_caller]
    pub fn keep_record(&self, record: Record) -> RecordId {
        let id = record.id;
        self.app.book.append(vec![record]).unwrap();
        id
    }

    pub async fn ask(&self, request: Request<HttpBody>) -> Answer {
        let answer = router(self.app.clone()).oneshot(request).await.unwrap();
        let header = |name: &str| {
            let value = answer.headers().get(name);
            value.map_or_else(String::new, |v| v.to_str().unwrap().to_owned())
        };
        let (location, content_type) = (header("location"), header("content-type"));
        let (cookies, disposition) = (header("set-cookie"), header("content-disposition"));
        let status = answer.status();
        let bytes = axum::body::to_bytes(answer.into_body(), usize::MAX)
            .await
            .unwrap();
        Answer {
            status,
            location,
            content_type,
            cookies,
            disposition,
            bytes: bytes.to_vec(),
        }
    }

    pub async fn get(&self, address: &str) -> Answer {
        let request = Request::get(address).header("host", "127.0.0.1");
        self.ask(request.body(HttpBody::empty()).unwrap()).await
    }

    /// The same by a browser that remembers something.
    pub async fn get_with_cookie(&self, address: &str, cookie: &str) -> Answer {
        let request = Request::get(address).header("host", "127.0.0.1");
        let request = request.header("cookie", cookie);
        self.ask(request.body(HttpBody::empty()).unwrap()).await
    }

    pub async fn post(&self, address: &str, fields: &[(&str, &str)]) -> Answer {
        let mut form = form_urlencoded::Serializer::new(String::new());
        form.extend_pairs(fields);
        let request = Request::post(address)
            .header("host", "127.0.0.1")
            .header("content-type", "application/x-www-form-urlencoded");
        self.ask(request.body(form.finish().into()).unwrap()).await
    }

    /// Sends a picture as a browser does.
    /// A form written as it travels: `a=1&b=2`.
    pub async fn post_text(&self, address: &str, form: &str) -> Answer {
        let kind = "application/x-www-form-urlencoded";
        self.post_as(address, kind, form.as_bytes().to_vec()).await
    }

    pub async fn post_as(&self, address: &str, kind: &str, body: Vec<u8>) -> Answer {
        let request = Request::post(address)
            .header("host", "127.0.0.1:8420")
            .header("content-type", kind)
            .body(HttpBody::from(body))
            .unwrap();
        self.ask(request).await
    }

    pub async fn send_photo(&self, address: &str, fields: &[(&str, &str)], photo: &[u8]) -> Answer {
        let mut body = Vec::new();
        for (name, value) in fields {
            let part = format!(
                "--cut\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n"
            );
            body.extend_from_slice(part.as_bytes());
        }
        body.extend_from_slice(b"--cut\r\nContent-Disposition: form-data; name=\"photo\"; filename=\"../../x.png\"\r\nContent-Type: image/png\r\n\r\n");
        body.extend_from_slice(photo);
        body.extend_from_slice(b"\r\n--cut--\r\n");
        let request = Request::post(address)
            .header("host", "127.0.0.1")
            .header("content-type", "multipart/form-data; boundary=cut");
        self.ask(request.body(body.into()).unwrap()).await
    }
}

/// The value of a hidden field of a page: its first one of this name.
#[track_caller]
pub fn hidden(page: &str, name: &str) -> String {
    let start = format!("name=\"{name}\" value=\"");
    let from = page.find(&start).unwrap() + start.len();
    page[from..].split('"').next().unwrap().to_owned()
}

/// The standards that come with the program.
pub fn standards() -> Standards {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../keys/standards");
    let files = StandardFiles::read_folder(&folder).unwrap();
    standards::load(&[files], None).standards.unwrap()
}
