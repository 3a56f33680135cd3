//! `eml.xml`: what the archive holds, who made it, what was left out.
//!
//! Source: Ecological Metadata Language 2.2.0 (eml.ecoinformatics.org), elements that are required, and
//! those that describe in words.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use standbook_plan::xml_text;

use crate::error::Done;
use crate::leaving::Leaving;
use crate::request::Scope;

/// Most people named as makers; more of them are summed up.
const MOST_PEOPLE: usize = 60;

pub(super) fn eml(leaving: &Leaving) -> Done<String> {
    let mut people = BTreeSet::new();
    leaving.each_visit(|_, visit| {
        for scout in &visit.entry.body.scouts {
            let name = leaving.people.say(scout);
            people.insert(name.into_owned());
        }
        Ok(())
    })?;
    people.remove("");
    let names: Vec<&str> = leaving
        .fields
        .iter()
        .map(|field| field.planting.body.name.as_str())
        .collect();
    let title = match (leaving.request.scope, names.as_slice()) {
        (Scope::Visit { .. }, [one]) => {
            format!("First-season plants of the planting {one}, one visit")
        }
        (_, [one]) => format!("First-season plants of the planting {one}"),
        (_, all) => format!(
            "First-season plants of {} plantings of native grasses",
            all.len()
        ),
    };
    let id = leaving.fields.first().map(|field| field.root.to_string());
    let mut out = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<eml:eml xmlns:eml=\"https://eml.ecoinformatics.org/eml-2.2.0\" packageId=\"standbook:{}:{}\" system=\"standbook\" xml:lang=\"en\">\n<dataset>\n<title>{}</title>\n",
        id.unwrap_or_default(),
        xml_text(leaving.given.today),
        xml_text(&title),
    );
    // Writing to a text cannot fail.
    for name in people.iter().take(MOST_PEOPLE) {
        let name = xml_text(name);
        let _ = writeln!(
            out,
            "<creator><individualName><surName>{name}</surName></individualName></creator>"
        );
    }
    if people.is_empty() || people.len() > MOST_PEOPLE {
        out.push_str("<creator><positionName>scouts of the field book</positionName></creator>\n");
    }
    let holder = "<positionName>holder of the field book</positionName>";
    let _ = writeln!(out, "<metadataProvider>{holder}</metadataProvider>");
    let _ = writeln!(
        out,
        "<pubDate>{}</pubDate>\n<language>en</language>",
        xml_text(leaving.given.today)
    );
    let generalised = leaving.generalised();
    let withheld = leaving.withheld();
    let paragraphs = [
        "What scouts found in plantings of native warm-season grasses in their first season: frames read cell by cell or counted, and single plants walked through an identification key, with every look that was taken.",
        "A frame in which a planted species was not found, and in which every plant has a name, says that the species is absent there. What was sown is marked as cultivated: it does not show where the species grows by itself.",
        generalised.as_str(),
        withheld.as_str(),
    ];
    out.push_str("<abstract>");
    for words in paragraphs.into_iter().filter(|words| !words.is_empty()) {
        let _ = write!(out, "<para>{}</para>", xml_text(words));
    }
    out.push_str("</abstract>\n<intellectualRights><para>No licence was stated. Ask the people named here before you use the data.</para></intellectualRights>\n");
    let _ = writeln!(out, "<contact>{holder}</contact>\n</dataset>\n</eml:eml>");
    Ok(out)
}
