//! Who is working and where: cookies, so that it survives every page without a script.

use std::sync::{Arc, Mutex, PoisonError};

use axum::extract::FromRequestParts;
use axum::http::HeaderValue;
use axum::http::header::COOKIE;
use axum::http::request::Parts;
use standbook_fieldbook::{BookError, Record, RecordId};

use crate::app::App;
use crate::failure::Failure;
use crate::phones::Who;

/// Cookie that holds the scout's name, percent-encoded.
const SCOUT: &str = "scout";
/// Cookie that says which planting is practised for.
const PRACTICE_FOR: &str = "practice_for";
/// Cookie that holds the id of the point last worked at.
const POINT: &str = "point";

/// Records of forms that are kept together: one call a form.
pub type Gathered = Arc<Mutex<Vec<Vec<Record>>>>;

/// Who and where, as far as known.
#[derive(Debug, Clone, Default)]
pub struct Here {
    /// The scout's name.
    pub scout: Option<String>,
    /// The point last worked at.
    pub point: Option<RecordId>,
    /// The planting practised for: an id, or a word for none in particular.
    pub practice_for: Option<String>,
    /// Who is asking: the laptop, or which phone.
    pub who: Who,
    /// When what is sent was saved, by the clock of the phone that kept it meanwhile.
    pub born_at: Option<String>,
    /// Where the records of forms that came together are gathered, to be kept together.
    pub together: Option<Gathered>,
}

impl Here {
    /// The device that stands with what is recorded.
    pub fn device(&self, app: &App) -> String {
        match &self.who {
            Who::Phone(phone) => phone.device(),
            Who::Laptop | Who::Stranger => app.device.clone(),
        }
    }

    /// Keeps the records of a form: at once, or with those of the forms that came with it. Then
    /// whoever gathers must see that they are kept before anybody is told so.
    pub fn append(&self, app: &App, records: Vec<Record>) -> Result<(), BookError> {
        match &self.together {
            Some(together) => {
                let mut calls = together.lock().unwrap_or_else(PoisonError::into_inner);
                calls.push(records);
                Ok(())
            }
            None => app.book.append(records).map(|_| ()),
        }
    }

    /// The clock that stands with what is recorded: the phone's, or this machine's.
    pub fn now(&self) -> String {
        let own = || standbook_fieldbook::time::now();
        self.born_at.clone().unwrap_or_else(own)
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Here {
    type Rejection = Failure;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Failure> {
        let mut here = Here {
            who: Who::of(&parts.extensions),
            ..Here::default()
        };
        for header in parts.headers.get_all(COOKIE) {
            // A cookie that can't be read is like one that is not there.
            for pair in header.to_str().unwrap_or_default().split(';') {
                let Some((name, value)) = pair.trim().split_once('=') else {
                    continue;
                };
                match name {
                    SCOUT => {
                        here.scout = form_urlencoded::parse(format!("v={value}").as_bytes())
                            .next()
                            .map(|(_, v)| v.trim().to_owned())
                            .filter(|v| !v.is_empty() && v.chars().count() <= 120);
                    }
                    PRACTICE_FOR => here.practice_for = Some(value.to_owned()),
                    POINT => here.point = value.parse().ok(),
                    _ => {}
                }
            }
        }
        if let (None, Who::Phone(phone)) = (&here.scout, &here.who) {
            here.scout = Some(phone.scout.clone());
        }
        Ok(here)
    }
}

/// A `Set-Cookie` value that remembers the scout for a year.
pub fn remember_scout(name: &str) -> Option<HeaderValue> {
    let name: String = form_urlencoded::byte_serialize(name.as_bytes()).collect();
    HeaderValue::from_str(&format!(
        "{SCOUT}={name}; Path=/; Max-Age=31536000; SameSite=Strict; HttpOnly"
    ))
    .ok()
}

/// A `Set-Cookie` value that remembers for a year what is practised for.
pub fn remember_practice_for(planting: &str) -> Option<HeaderValue> {
    HeaderValue::from_str(&format!(
        "{PRACTICE_FOR}={planting}; Path=/practice; Max-Age=31536000; SameSite=Strict; HttpOnly"
    ))
    .ok()
}

/// A `Set-Cookie` value that remembers the point for two days.
pub fn remember_point(point: RecordId) -> Option<HeaderValue> {
    HeaderValue::from_str(&format!(
        "{POINT}={point}; Path=/; Max-Age=172800; SameSite=Strict; HttpOnly"
    ))
    .ok()
}
