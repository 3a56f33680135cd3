//! Reads one entry of the parts `advice`, `mowing`, `cautions` and `weed_spans`.

use super::advice::{Advice, Caution, LifeSpan, Mowing, Situation, WeedSpan};
use super::read_thresholds::{optional_words, purposes, whole};
use super::settle::{All, CAUTION, FileAt, put};
use crate::fault::Findings;
use crate::fields::Fields;
use crate::yaml::Yaml;

const ADVICE: &str = "a piece of advice";
const MOWING: &str = "a rule of mowing";
const SPAN: &str = "a weed span";

/// Highest growth or stubble, inches, that is not a slip.
const MOST_IN: f64 = 120.0;

const SPANS: [(&str, LifeSpan); 3] = [
    ("annual", LifeSpan::Annual),
    ("short_lived", LifeSpan::ShortLived),
    ("perennial", LifeSpan::Perennial),
];

pub(super) fn read(file: &FileAt, yaml: &Yaml, all: &mut All, findings: &mut Findings) {
    let Some(mut fields) = Fields::open(file.name, yaml, ADVICE, findings) else {
        return;
    };
    let id = fields.id("id");
    let replaces = fields.optional_text("replaces");
    let name = fields.text("name");
    let words = fields.text("words");
    let when = fields.required("when").is_some();
    let when = when.then(|| situations(&mut fields, "when"));
    let unless = situations(&mut fields, "unless");
    let purposes = purposes(&mut fields);
    let seasons = seasons(&mut fields);
    let cautions: Vec<_> = fields
        .texts("cautions")
        .into_iter()
        .map(|text| (text.value.to_owned(), text.place))
        .collect();
    let shows = fields.optional_word("shows", &[("mowing", ())]);
    let sources = file.sources(&mut fields);
    let placed = all.settle(&mut fields, file, ADVICE, id, replaces);
    fields.close();
    if let (Some(id), Some(_)) = (id, &placed) {
        all.mentions_cautions(id.value, cautions.clone());
    }
    let advice = || {
        let (source, also) = sources?;
        Some(Advice {
            id: id?.value.to_owned(),
            name: name?.value.to_owned(),
            words: words?.value.to_owned(),
            when: when.filter(|when| !when.is_empty())?,
            unless,
            purposes,
            seasons,
            cautions: cautions.into_iter().map(|c| c.0).collect(),
            shows_mowing: shows.is_some(),
            source,
            also,
        })
    };
    if let (Some(placed), Some(advice)) = (placed, advice()) {
        put(&mut all.standards.advice, placed, advice, |a| &a.id);
    }
}

pub(super) fn read_mowing(file: &FileAt, yaml: &Yaml, all: &mut All, findings: &mut Findings) {
    let Some(mut fields) = Fields::open(file.name, yaml, MOWING, findings) else {
        return;
    };
    let id = fields.id("id");
    let replaces = fields.optional_text("replaces");
    let trigger = fields.text("trigger");
    let at_in = inches(&mut fields, "at_in");
    let cut = fields.text("cut");
    let cut_in = inches(&mut fields, "cut_in");
    let how_often = optional_words(&mut fields, "how_often");
    let seasons = seasons(&mut fields);
    let sources = file.sources(&mut fields);
    let placed = all.settle(&mut fields, file, MOWING, id, replaces);
    if let (Some((_, highest)), Some((lowest, _))) = (at_in, cut_in)
        && lowest > highest
    {
        fields.fault(
            fields.place,
            format!("cut to {lowest} inches what grows {highest} inches high: upside down"),
            "`cut_in` lies below `at_in`",
        );
    }
    fields.close();
    let mowing = || {
        Some(Mowing {
            id: id?.value.to_owned(),
            trigger: trigger?.value.to_owned(),
            at_in,
            cut_in,
            cut: cut?.value.to_owned(),
            how_often,
            seasons,
            source: sources?.0,
        })
    };
    if let (Some(placed), Some(mowing)) = (placed, mowing()) {
        put(&mut all.standards.mowing, placed, mowing, |m| &m.id);
    }
}

pub(super) fn read_caution(file: &FileAt, yaml: &Yaml, all: &mut All, findings: &mut Findings) {
    let Some(mut fields) = Fields::open(file.name, yaml, CAUTION, findings) else {
        return;
    };
    let id = fields.id("id");
    let replaces = fields.optional_text("replaces");
    let words = fields.text("words");
    let sources = file.sources(&mut fields);
    let placed = all.settle(&mut fields, file, CAUTION, id, replaces);
    fields.close();
    let caution = || {
        let (source, also) = sources?;
        Some(Caution {
            id: id?.value.to_owned(),
            words: words?.value.to_owned(),
            source,
            also,
        })
    };
    if let (Some(placed), Some(caution)) = (placed, caution()) {
        put(&mut all.standards.cautions, placed, caution, |c| &c.id);
    }
}

pub(super) fn read_weed_span(file: &FileAt, yaml: &Yaml, all: &mut All, findings: &mut Findings) {
    let Some(mut fields) = Fields::open(file.name, yaml, SPAN, findings) else {
        return;
    };
    let taxon = fields.id("taxon");
    let known = taxon.and_then(|taxon| all.taxon(&mut fields, taxon));
    let span = fields.word("span", &SPANS);
    let noxious = optional_words(&mut fields, "noxious");
    let sources = file.sources(&mut fields);
    fields.close();
    let weed_span = || {
        let (source, also) = sources?;
        Some(WeedSpan {
            taxon: known?,
            span: span?,
            noxious,
            source,
            also,
        })
    };
    let Some(new) = weed_span() else { return };
    // A weed has one span; what a later folder says of it goes before.
    match all
        .standards
        .weed_spans
        .iter()
        .position(|s| s.taxon == new.taxon)
    {
        Some(at) if file.is_own() => all.standards.weed_spans[at] = new,
        Some(_) => {
            if let Some(taxon) = taxon {
                findings.fault(
                    file.name,
                    taxon.place,
                    format!("`{}` has a span already", taxon.value),
                    "keep one of the two",
                );
            }
        }
        None => all.standards.weed_spans.push(new),
    }
}

fn situations(fields: &mut Fields, name: &'static str) -> Vec<Situation> {
    fields
        .list(name)
        .iter()
        .filter_map(|yaml| fields.one_of(yaml, name, &Situation::ALL))
        .collect()
}

fn seasons(fields: &mut Fields) -> Vec<u32> {
    let mut seasons = Vec::new();
    for yaml in fields.list("seasons") {
        let number = fields.as_number(yaml, "seasons");
        seasons.extend(number.and_then(|n| whole(fields, n, "seasons", 1, 20)));
    }
    seasons
}

/// Two heights in inches, lowest and highest, that may be missing.
fn inches(fields: &mut Fields, name: &'static str) -> Option<(f64, f64)> {
    let yaml = fields.optional(name)?;
    let range = fields.as_range(yaml, name)?;
    let (low, high) = range.value;
    if low > 0.0 && high <= MOST_IN {
        return Some((low, high));
    }
    fields.fault(
        range.place,
        format!("[{low}, {high}] inches is no `{name}`"),
        format!("write two heights above 0 and at most {MOST_IN} inches"),
    );
    None
}
