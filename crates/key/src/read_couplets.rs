//! Reads `couplets.yaml`: an authored single-access key.
//!
//! ```yaml
//! couplets:
//!   - number: 1
//!     leads:
//!       - text: Ligule absent.
//!         when: {trait: ligule_type, states: [absent]}   # or range: [low, high]
//!         taxa: [echinochloa_crus_galli]                 # the end, or
//!       - text: Ligule present.
//!         to: 2                                          # another couplet
//! ```

use crate::couplet::{Couplet, CoupletPlace, Couplets, Lead, LeadReading, LeadTest, LeadTo};
use crate::fault::{Findings, short, suggest};
use crate::fields::{At, Fields};
use crate::ids::{StateId, TaxonId};
use crate::model::{Taxon, Trait};
use crate::yaml::Yaml;

const FILE: &str = "couplets.yaml";

/// Largest couplet number; far above any key for print.
const LARGEST_NUMBER: f64 = 100_000.0;

pub(crate) fn read(
    yaml: &Yaml,
    traits: Option<&[Trait]>,
    taxa: &[Taxon],
    findings: &mut Findings,
) -> Option<(Couplets, Vec<CoupletPlace>)> {
    let mut fields = Fields::open(FILE, yaml, "the couplets file", findings)?;
    let list = fields.required("couplets");
    let items = list.and_then(|yaml| fields.as_list(yaml, "couplets"));
    fields.close();
    let mut couplets = Vec::new();
    let mut places = Vec::new();
    for item in items? {
        let Some(mut fields) = Fields::open(FILE, item, "a couplet", findings) else {
            continue;
        };
        let number = fields.number("number");
        let number = number.and_then(|n| whole(&mut fields, n));
        let leads_yaml = fields.list("leads");
        fields.close();
        let mut leads = Vec::new();
        let mut lead_places = Vec::new();
        for lead in leads_yaml {
            if let Some(read) = read_lead(lead, traits, taxa, findings) {
                leads.push(read);
                lead_places.push(lead.place);
            }
        }
        if let Some(number) = number {
            couplets.push(Couplet { number, leads });
            places.push(CoupletPlace {
                couplet: item.place,
                leads: lead_places,
            });
        }
    }
    if couplets.is_empty() {
        findings.fault(
            FILE,
            yaml.place,
            "there is no couplet",
            "write couplets, or remove the file: the program grows couplets from the profiles",
        );
        return None;
    }
    Some((Couplets { couplets }, places))
}

fn whole(fields: &mut Fields, number: At<f64>) -> Option<u32> {
    if number.value.fract() == 0.0 && (1.0..=LARGEST_NUMBER).contains(&number.value) {
        // In range, so the conversion is exact.
        return Some(number.value as u32);
    }
    fields.fault(
        number.place,
        format!("{} is not a couplet number", number.value),
        "number couplets 1, 2, 3 ...",
    );
    None
}

fn read_lead(
    yaml: &Yaml,
    traits: Option<&[Trait]>,
    taxa: &[Taxon],
    findings: &mut Findings,
) -> Option<Lead> {
    let mut fields = Fields::open(FILE, yaml, "a lead", findings)?;
    let text = fields.text("text");
    let when = fields.optional("when");
    let to = fields.optional("to");
    let ends = fields.optional("taxa");
    let target = match (to, ends) {
        (Some(yaml), None) => {
            let number = fields.as_number(yaml, "to");
            number
                .and_then(|n| whole(&mut fields, n))
                .map(LeadTo::Couplet)
        }
        (None, Some(yaml)) => read_ends(&mut fields, yaml, taxa),
        _ => {
            fields.fault(
                fields.place,
                "a lead goes either to a couplet or ends in taxa",
                "write `to: number`, or `taxa: [ids]`, not both",
            );
            None
        }
    };
    fields.close();
    let when = match when {
        Some(yaml) => Some(read_test(yaml, traits, findings)?),
        None => None,
    };
    Some(Lead {
        text: text?.value.to_owned(),
        when,
        to: target?,
    })
}

fn read_ends<'a>(fields: &mut Fields<'a, '_>, yaml: &'a Yaml, taxa: &[Taxon]) -> Option<LeadTo> {
    let items = fields.as_list(yaml, "taxa")?;
    let mut ends = Vec::new();
    for item in items {
        let Some(id) = fields.as_text(item, "taxa") else {
            continue;
        };
        if taxa.iter().any(|t| t.id == *id.value) {
            ends.push(TaxonId::new(id.value));
        } else {
            fields.fault(
                id.place,
                format!("`{}` is not a taxon of this key", short(id.value)),
                suggest(
                    id.value,
                    taxa.iter().map(|t| t.id.as_str()),
                    "add the taxon, or correct the id",
                ),
            );
        }
    }
    if items.is_empty() {
        fields.fault(
            yaml.place,
            "this lead ends in no taxon",
            "name at least one",
        );
    }
    (!ends.is_empty()).then_some(LeadTo::Taxa(ends))
}

fn read_test(yaml: &Yaml, traits: Option<&[Trait]>, findings: &mut Findings) -> Option<LeadTest> {
    let mut fields = Fields::open(FILE, yaml, "when", findings)?;
    let trait_id = fields.id("trait");
    let states = fields.optional("states");
    let range = fields.optional("range");
    let trait_id = trait_id?;
    let traits = traits?;
    let Some(one) = traits.iter().find(|t| t.id == *trait_id.value) else {
        fields.fault(
            trait_id.place,
            format!("`{}` is not a trait of this key", trait_id.value),
            suggest(
                trait_id.value,
                traits.iter().map(|t| t.id.as_str()),
                "add it to traits.yaml, or correct the id",
            ),
        );
        return None;
    };
    let reading = match (states, range, one.measure().is_some()) {
        (Some(yaml), None, false) => {
            let items = fields.as_list(yaml, "states")?;
            let mut wanted = Vec::new();
            for item in items {
                let Some(id) = fields.as_text(item, "states") else {
                    continue;
                };
                if one.state_index(id.value).is_none() {
                    fields.fault(
                        id.place,
                        format!("`{}` is not a state of `{}`", short(id.value), one.id),
                        suggest(
                            id.value,
                            one.states().iter().map(|s| s.id.as_str()),
                            "use a state of that trait",
                        ),
                    );
                }
                wanted.push(StateId::new(id.value));
            }
            (!wanted.is_empty()).then_some(LeadReading::States(wanted))
        }
        (None, Some(yaml), true) => fields.as_range(yaml, "range").map(|range| {
            let (low, high) = range.value;
            LeadReading::Range { low, high }
        }),
        _ => None,
    };
    if reading.is_none() {
        fields.fault(
            fields.place,
            format!("this says nothing that can be seen of `{}`", one.id),
            if one.measure().is_some() {
                "write `range: [low, high]`"
            } else {
                "write `states: [...]` with states of that trait"
            },
        );
    }
    fields.close();
    Some(LeadTest {
        trait_id: one.id.clone(),
        reading: reading?,
    })
}
