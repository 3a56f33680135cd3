//! A walk as it stands in an address or a form: stage, tools, answers, way.
//!
//! In: the fields of a query or form. Out: the walk with its evidence, and what could not be
//! taken (that field is left out and said; the rest stays).
//!
//! Fields: `walk` id of the determination to be; `stage`; `tool` (repeated); `a` (repeated)
//! `trait:value`; `m.<trait>` a measure just typed; `drop` a trait to take back, or `stage`, `way`, `eye`; `ask` the
//! trait to show; `way` `couplets` or free; `lead` (repeated) `couplet.position`; `unknown`,
//! `cell`, `corrects`; `eye` shows beside what the scout's practice says of her eye.

use std::collections::BTreeSet;

use standbook_fieldbook::RecordId;
use standbook_fieldbook::record::{Determination, ValueGiven};
use standbook_identify::{Answer, CANNOT_TELL, Evidence, Situation, evidence, parse};
use standbook_key::{LeafStage, Need};

use crate::app::App;
use crate::form::Form;

/// A walk.
#[derive(Debug, Clone)]
pub struct Walk {
    /// Id of the determination this walk will become.
    pub id: RecordId,
    /// Leaf stage, once told.
    pub stage: Option<LeafStage>,
    /// Tools in hand.
    pub tools: BTreeSet<Need>,
    /// What was seen.
    pub evidence: Evidence,
    /// The trait to show, when the scout picked one.
    pub ask: Option<String>,
    /// Whether couplets are read rather than looks chosen freely.
    pub couplets: bool,
    /// Leads of couplets chosen by their words alone.
    pub leads: Vec<(u32, usize)>,
    /// Whether the walk is also shown as it would end for the scout's own eye. It alters no record.
    pub eye: bool,
    /// The unknown this walk is for.
    pub unknown: Option<RecordId>,
    /// Cell of the frame.
    pub cell: String,
    /// The determination this walk corrects.
    pub corrects: Option<RecordId>,
    /// What could not be taken, in words.
    pub faults: Vec<String>,
    /// The measure typed that could not be taken: trait and text.
    pub typed: Option<(String, String)>,
    /// Whether the fields held a step (a measure, something taken back) rather than a state:
    /// then the plain address should be shown.
    pub is_step: bool,
}

impl Walk {
    /// Reads a walk out of fields.
    pub fn read(app: &App, form: &Form) -> Walk {
        let mut walk = Walk {
            id: form.get("walk").parse().unwrap_or_default(),
            stage: LeafStage::from_id(form.get("stage")),
            tools: form.all("tool").filter_map(Need::from_id).collect(),
            evidence: Evidence::default(),
            ask: Some(form.get("ask"))
                .filter(|ask| app.table.trait_index(ask).is_some())
                .map(str::to_owned),
            couplets: form.get("way") == "couplets",
            leads: form.all("lead").filter_map(read_lead).collect(),
            eye: form.get("eye") == "1",
            unknown: form.get("unknown").parse().ok(),
            cell: form.get("cell").to_owned(),
            corrects: form.get("corrects").parse().ok(),
            faults: Vec::new(),
            typed: None,
            is_step: false,
        };
        let dropped: Vec<&str> = form.all("drop").collect();
        if dropped.contains(&"stage") {
            walk.stage = None;
            walk.is_step = true;
        }
        if dropped.contains(&"way") {
            walk.couplets = false;
            walk.is_step = true;
        }
        if dropped.contains(&"eye") {
            walk.eye = false;
            walk.is_step = true;
        }
        for pair in form.all("a") {
            let (trait_id, value) = pair.split_once(':').unwrap_or((pair, ""));
            if dropped.contains(&trait_id) {
                walk.is_step = true;
                continue;
            }
            walk.take(app, trait_id, value);
        }
        for (name, value) in &form.0 {
            if let Some(trait_id) = name.strip_prefix("m.") {
                walk.is_step = true;
                if !value.trim().is_empty() && !walk.take(app, trait_id, value) {
                    walk.typed = Some((trait_id.to_owned(), value.clone()));
                    walk.ask = Some(trait_id.to_owned());
                }
            }
        }
        walk
    }

    fn take(&mut self, app: &App, trait_id: &str, value: &str) -> bool {
        match parse(&app.key, &app.table, trait_id, value) {
            Ok(Some(answer)) => {
                self.evidence.add(answer);
                true
            }
            Ok(None) => true,
            Err(fault) => {
                self.faults.push(fault.to_string());
                false
            }
        }
    }

    /// What can be looked at.
    pub fn situation(&self) -> Situation {
        Situation {
            leaf_stage: self.stage.unwrap_or(LeafStage::Tillering),
            tools: self.tools.clone(),
        }
    }

    /// The fields that bring this walk back, without `ask`.
    pub fn fields(&self, app: &App) -> Vec<(String, String)> {
        let mut fields = vec![("walk".to_owned(), self.id.to_string())];
        let mut add = |name: &str, value: String| fields.push((name.to_owned(), value));
        if let Some(stage) = self.stage {
            add("stage", stage.id().to_owned());
        }
        for tool in &self.tools {
            add("tool", tool.id().to_owned());
        }
        for answer in self.evidence.answers() {
            add("a", answer_field(app, answer));
        }
        if self.couplets {
            add("way", "couplets".to_owned());
        }
        for (number, lead) in &self.leads {
            add("lead", format!("{number}.{lead}"));
        }
        if self.eye {
            add("eye", "1".to_owned());
        }
        if let Some(unknown) = self.unknown {
            add("unknown", unknown.to_string());
        }
        if !self.cell.is_empty() {
            add("cell", self.cell.clone());
        }
        if let Some(corrects) = self.corrects {
            add("corrects", corrects.to_string());
        }
        fields
    }

    /// The address of this walk at a point.
    pub fn address(&self, app: &App, point: RecordId) -> String {
        self.address_at(app, &format!("/at/{point}/plant"))
    }

    /// The address of this walk on a page.
    pub fn address_at(&self, app: &App, page: &str) -> String {
        let mut query = form_urlencoded::Serializer::new(String::new());
        query.extend_pairs(self.fields(app));
        if let Some(ask) = &self.ask {
            query.append_pair("ask", ask);
        }
        format!("{page}?{}", query.finish())
    }
}

/// An answer as the field `a` carries it.
fn answer_field(app: &App, answer: &Answer) -> String {
    let id = &app.table.traits[answer.trait_index].id;
    format!("{id}:{}", evidence::value_text(&app.table, answer))
}

fn read_lead(text: &str) -> Option<(u32, usize)> {
    let (number, lead) = text.split_once('.')?;
    Some((number.parse().ok()?, lead.parse().ok()?))
}

/// The address of a walk that corrects a determination, with its answers filled in.
pub(crate) fn address_of(determination: RecordId, body: &Determination) -> String {
    let mut query = form_urlencoded::Serializer::new(String::new());
    query.append_pair("corrects", &determination.to_string());
    query.append_pair("stage", &body.evidence.leaf_stage);
    for tool in &body.evidence.tools {
        query.append_pair("tool", tool);
    }
    for answer in &body.evidence.answers {
        let value = match &answer.value {
            ValueGiven::States(states) => states.join("|"),
            ValueGiven::Measure(number) => number.to_string(),
            ValueGiven::CannotTell => CANNOT_TELL.to_owned(),
        };
        query.append_pair("a", &format!("{}:{value}", answer.r#trait));
    }
    if let Some(unknown) = body.unknown {
        query.append_pair("unknown", &unknown.to_string());
    }
    if let Some(cell) = body.cell {
        query.append_pair("cell", &cell.to_string());
    }
    format!("/at/{}/plant?{}", body.point, query.finish())
}

#[cfg(test)]
mod tests {
    use super::read_lead;

    #[test]
    fn a_lead_is_a_couplet_and_a_position() {
        assert_eq!(read_lead("12.1"), Some((12, 1)));
        for bad in ["", "12", "x.1", "12.", "-1.0", "12.1.1"] {
            assert_eq!(read_lead(bad), None, "{bad}");
        }
    }
}
