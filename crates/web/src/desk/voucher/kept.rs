//! Specimens with their plants, as lists and labels need them; and the lines on a plant's page.

use standbook_fieldbook::record::Voucher;
use standbook_fieldbook::{BookError, Entry, RecordId};

use super::form::preparation_words;
use crate::app::App;
use crate::desk::subject::{Pictured, Subject};
use crate::failure::Failure;
use crate::form::Form;
use crate::words::date_words;

/// A specimen on the page of its plant.
pub(in crate::desk) struct Line {
    /// Its record, the current version.
    pub id: RecordId,
    /// `Ada Fenn 12`: what herbaria call it by.
    pub called: String,
    /// `14 July 2026, pressed flat: two tillers with roots`.
    pub what: String,
    /// Where it is; may be empty.
    pub kept_at: String,
    /// Whether it was corrected.
    pub corrected: bool,
}

/// The specimens of a plant, in the order in which they were entered.
pub(in crate::desk) fn lines(app: &App, about: RecordId) -> Result<Vec<Line>, BookError> {
    Ok(app.book.vouchers(about)?.iter().map(line).collect())
}

fn line(voucher: &Entry<Voucher>) -> Line {
    let body = &voucher.body;
    Line {
        id: voucher.id,
        called: format!("{} {}", body.collector, body.number),
        what: what(body),
        kept_at: body.kept_at.clone(),
        corrected: voucher.supersedes.is_some(),
    }
}

/// `14 July 2026, pressed flat: two tillers with roots`.
pub(super) fn what(voucher: &Voucher) -> String {
    let on = date_words(&voucher.collected_on);
    let mut words = format!("{on}, {}", preparation_words(voucher.preparation));
    if !voucher.parts.is_empty() {
        words.push_str(&format!(": {}", voucher.parts));
    }
    words
}

/// Which specimens are asked for.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Wanted {
    /// Where they are kept; empty: anywhere. [`NOT_SAID`]: not said.
    pub kept_at: String,
    /// Who collected them; empty: anybody.
    pub collector: String,
    /// The visit, any version; `None`: all.
    pub visit: Option<RecordId>,
    /// Photos: `none`, `lacking`, or empty for all.
    pub photos: String,
    /// These only, any version; empty: all.
    pub ids: Vec<RecordId>,
}

/// Value of the filter for specimens of which nobody said where they are.
pub(super) const NOT_SAID: &str = "?";

impl Wanted {
    /// Reads it from an address; what can't be read asks for nothing.
    pub fn read(query: &Form) -> Wanted {
        Wanted {
            kept_at: query.get("kept_at").to_owned(),
            collector: query.get("collector").to_owned(),
            visit: query.get("visit").parse().ok(),
            photos: query.get("photos").to_owned(),
            ids: query
                .all("voucher")
                .filter_map(|id| id.parse().ok())
                .collect(),
        }
    }

    /// The same as a query that ends with `&`, or nothing.
    pub fn query(&self) -> String {
        let visit = self.visit.map(|id| id.to_string()).unwrap_or_default();
        let mut query = form_urlencoded::Serializer::new(String::new());
        let fields = [
            ("kept_at", &self.kept_at),
            ("collector", &self.collector),
            ("visit", &visit),
            ("photos", &self.photos),
        ];
        query.extend_pairs(fields.into_iter().filter(|(_, value)| !value.is_empty()));
        for id in &self.ids {
            query.append_pair("voucher", &id.to_string());
        }
        match query.finish() {
            query if query.is_empty() => query,
            query => format!("{query}&"),
        }
    }

    /// Whether a specimen whose plant has these photos is asked for.
    pub fn takes(&self, photos: &Pictured) -> bool {
        match self.photos.as_str() {
            "none" => photos.many == 0,
            "lacking" => !photos.lacking.is_empty(),
            _ => true,
        }
    }

    /// The specimens that are asked for, whatever their photos, by collector and number.
    pub fn of(&self, app: &App) -> Result<Vec<Kept>, Failure> {
        let visit = match self.visit {
            Some(id) => app.book.visit(id)?.map(|visit| visit.id),
            None => None,
        };
        let mut ids = Vec::new();
        for id in &self.ids {
            ids.extend(app.book.voucher(*id)?.map(|voucher| voucher.id));
        }
        let mut all = Vec::new();
        for voucher in app.book.vouchers_all()? {
            let body = &voucher.body;
            let kept_at = match self.kept_at.as_str() {
                "" => true,
                NOT_SAID => body.kept_at.trim().is_empty(),
                place => body.kept_at.trim() == place,
            };
            let by = self.collector.is_empty() || body.collector.trim() == self.collector;
            let named = self.ids.is_empty() || ids.contains(&voucher.id);
            if !(kept_at && by && named) {
                continue;
            }
            let subject = Subject::find(app, body.about)?;
            if self.visit.is_some() && Some(subject.place.visit.id) != visit {
                continue;
            }
            all.push(Kept { voucher, subject });
        }
        all.sort_by_cached_key(|kept| kept.order());
        Ok(all)
    }
}

/// A specimen with its plant.
pub(super) struct Kept {
    pub voucher: Entry<Voucher>,
    pub subject: Subject,
}

impl Kept {
    /// By collector, then by number as people count: 9 before 10.
    fn order(&self) -> (String, usize, String, RecordId) {
        let body = &self.voucher.body;
        let number = body.number.trim().to_owned();
        let digits = number.chars().filter(char::is_ascii_digit).count();
        (
            body.collector.trim().to_owned(),
            digits,
            number,
            self.voucher.id,
        )
    }
}
