//! Forms as a phone keeps them until the laptop answers, and what the laptop answers.
//!
//! In: a point and what was counted there. Out: what `/outbox` is sent, by hand, since no page is
//! open when a phone comes back; and its answer, sorted.

use std::io;

use serde_json::{Value, json};

use crate::form::encode;
use crate::http::send;

/// When these forms were saved, by the clock of the phone.
pub const MADE: &str = "2026-07-14T15:02:07.250Z";

/// A form that waits on a phone.
#[derive(Debug, Clone)]
pub struct Waiting {
    /// Id of the record to be.
    pub id: String,
    /// Where its page would have sent it.
    pub to: String,
    /// Its fields, as a browser writes them.
    pub fields: String,
    /// When it was saved, by the phone's clock.
    pub made: String,
}

impl Waiting {
    /// A frame of 25 cells with switchgrass in some of them. `point` is an address, `/at/...`.
    pub fn frame(id: &str, point: &str, number: u32, scout: &str, cells: &[u32]) -> Waiting {
        let number = number.to_string();
        let marks: Vec<String> = cells.iter().map(|cell| format!("0.{cell}")).collect();
        let mut fields = vec![
            ("id", id),
            ("device", "grid"),
            ("cells", "25"),
            ("side", "15"),
            ("col", "t.panicum_virgatum"),
        ];
        fields.extend(marks.iter().map(|mark| ("c", mark.as_str())));
        fields.extend([("scout", scout), ("number", &number), ("do", "save")]);
        Waiting {
            id: id.to_owned(),
            to: format!("{point}/count"),
            fields: encode(fields.into_iter()),
            made: MADE.to_owned(),
        }
    }

    /// A plant with two looks, taken for switchgrass.
    pub fn plant(id: &str, point: &str, scout: &str, note: &str) -> Waiting {
        let fields = [
            ("walk", id),
            ("stage", "tillering"),
            ("a", "vernation:rolled"),
            ("a", "ligule_type:hairs"),
            ("taxon", "panicum_virgatum"),
            ("note", note),
            ("scout", scout),
        ];
        Waiting {
            id: id.to_owned(),
            to: format!("{point}/plant"),
            fields: encode(fields.into_iter()),
            made: MADE.to_owned(),
        }
    }

    /// The same, saved at another time.
    pub fn made(mut self, made: &str) -> Waiting {
        made.clone_into(&mut self.made);
        self
    }

    /// The same with one more field.
    pub fn with(mut self, name: &str, value: &str) -> Waiting {
        self.fields += "&";
        self.fields += &encode([(name, value)].into_iter());
        self
    }
}

/// What a phone sends.
pub fn batch(items: &[Waiting]) -> String {
    let items: Vec<Value> = items
        .iter()
        .map(|it| json!({"id": it.id, "to": it.to, "fields": it.fields, "made": it.made}))
        .collect();
    json!({"format": "standbook outbox 1", "items": items}).to_string()
}

/// What became of each form, by id; for those that are not kept, with the reasons.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Said {
    /// On the laptop's disk.
    pub kept: Vec<String>,
    /// To be mended by a person.
    pub refused: Vec<(String, String)>,
    /// To be sent again.
    pub waiting: Vec<(String, String)>,
}

/// Sends forms; an error where no whole answer came.
pub fn send_all(port: u16, cookies: &str, items: &[Waiting]) -> io::Result<Said> {
    let answer = send(port, "POST", "/outbox", cookies, &batch(items))?;
    assert_eq!(answer.status, 200, "{}", answer.body);
    let said: Value = serde_json::from_str(&answer.body)?;
    let list = |name: &str| said[name].as_array().unwrap().clone();
    let id = |it: &Value| it["id"].as_str().unwrap().to_owned();
    let with_why = |it: Value| (id(&it), it["why"].to_string());
    Ok(Said {
        kept: list("kept").iter().map(id).collect(),
        refused: list("refused").into_iter().map(with_why).collect(),
        waiting: list("waiting").into_iter().map(with_why).collect(),
    })
}
