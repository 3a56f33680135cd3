//! The four files of an archive: their columns, and rows as tab-separated text.
//!
//! Cells hold no tab and no line end: where a note had one it has a space. Nothing is quoted or guarded:
//! the file is for programs that read `meta.xml`.

use std::borrow::Cow;
use std::fmt::Write as _;
use std::io::Write;

use crate::error::{Done, ExportError};

/// Terms of Dublin Core among those used; all others are Darwin Core's.
const DUBLIN_CORE: [&str; 1] = ["modified"];

/// One file of the archive.
pub(super) struct Sheet {
    pub file: &'static str,
    /// Class of its rows, by name.
    pub class: &'static str,
    /// Terms of its columns, by name. The first is the event's id, by which files hang together.
    pub terms: &'static [&'static str],
}

/// The core.
pub(super) const EVENT: Sheet = Sheet {
    file: "event.txt",
    class: "Event",
    terms: &[
        "eventID",
        "parentEventID",
        "eventType",
        "fieldNumber",
        "eventDate",
        "samplingProtocol",
        "sampleSizeValue",
        "sampleSizeUnit",
        "samplingEffort",
        "habitat",
        "eventRemarks",
        "locationID",
        "countryCode",
        "stateProvince",
        "county",
        "locality",
        "decimalLatitude",
        "decimalLongitude",
        "geodeticDatum",
        "coordinateUncertaintyInMeters",
        "footprintWKT",
        "footprintSRS",
        "georeferenceProtocol",
        "informationWithheld",
        "dataGeneralizations",
        "modified",
    ],
};

/// What occurred at an event.
pub(super) const OCCURRENCE: Sheet = Sheet {
    file: "occurrence.txt",
    class: "Occurrence",
    terms: &[
        "eventID",
        "occurrenceID",
        "basisOfRecord",
        "recordNumber",
        "recordedBy",
        "occurrenceStatus",
        "individualCount",
        "organismQuantity",
        "organismQuantityType",
        "lifeStage",
        "establishmentMeans",
        "degreeOfEstablishment",
        "preparations",
        "disposition",
        "associatedMedia",
        "occurrenceRemarks",
        "identificationQualifier",
        "verbatimIdentification",
        "identifiedBy",
        "dateIdentified",
        "identificationVerificationStatus",
        "taxonID",
        "scientificName",
        "kingdom",
        "taxonRank",
        "vernacularName",
        "nameAccordingTo",
        "informationWithheld",
        "dataGeneralizations",
    ],
};

/// Who named an occurrence, and when: the history.
pub(super) const IDENTIFICATION: Sheet = Sheet {
    file: "identification.txt",
    class: "Identification",
    terms: &[
        "eventID",
        "occurrenceID",
        "identificationID",
        "verbatimIdentification",
        "identificationQualifier",
        "identifiedBy",
        "dateIdentified",
        "identificationVerificationStatus",
        "identificationRemarks",
        "taxonID",
        "scientificName",
        "kingdom",
        "taxonRank",
        "vernacularName",
        "nameAccordingTo",
    ],
};

/// What was measured or seen.
pub(super) const MEASUREMENT: Sheet = Sheet {
    file: "measurementorfact.txt",
    class: "MeasurementOrFact",
    terms: &[
        "eventID",
        "occurrenceID",
        "measurementID",
        "measurementType",
        "measurementValue",
        "measurementUnit",
        "measurementAccuracy",
        "measurementMethod",
        "measurementDeterminedBy",
        "measurementDeterminedDate",
        "measurementRemarks",
    ],
};

/// The whole address of a term or class.
fn iri(name: &str) -> String {
    match DUBLIN_CORE.contains(&name) {
        true => format!("http://purl.org/dc/terms/{name}"),
        false => format!("http://rs.tdwg.org/dwc/terms/{name}"),
    }
}

/// `meta.xml`: which file holds what.
pub(super) fn meta() -> String {
    let mut out = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<archive xmlns=\"http://rs.tdwg.org/dwc/text/\" metadata=\"eml.xml\">\n",
    );
    for (at, sheet) in [EVENT, OCCURRENCE, IDENTIFICATION, MEASUREMENT]
        .iter()
        .enumerate()
    {
        let (element, id) = match at {
            0 => ("core", "id"),
            _ => ("extension", "coreid"),
        };
        // Writing to a text cannot fail.
        let _ = write!(
            out,
            "  <{element} encoding=\"UTF-8\" fieldsTerminatedBy=\"\\t\" linesTerminatedBy=\"\\n\" fieldsEnclosedBy=\"\" ignoreHeaderLines=\"1\" rowType=\"{}\">\n    <files><location>{}</location></files>\n    <{id} index=\"0\"/>\n",
            iri(sheet.class),
            sheet.file
        );
        for (index, term) in sheet.terms.iter().enumerate() {
            let _ = writeln!(out, "    <field index=\"{index}\" term=\"{}\"/>", iri(term));
        }
        let _ = writeln!(out, "  </{element}>");
    }
    out.push_str("</archive>\n");
    out
}

/// Rows of one file on their way out.
pub(super) struct Rows<'a> {
    sheet: &'static Sheet,
    out: &'a mut dyn Write,
    count: u64,
}

impl<'a> Rows<'a> {
    /// Begins with the line of names.
    pub fn new(sheet: &'static Sheet, out: &'a mut dyn Write) -> Done<Rows<'a>> {
        writeln!(out, "{}", sheet.terms.join("\t"))?;
        Ok(Rows {
            sheet,
            out,
            count: 0,
        })
    }

    /// Rows so far.
    pub fn count(&self) -> u64 {
        self.count
    }

    /// A row; terms that are not given stay empty.
    pub fn put(&mut self, cells: &[(&str, Cow<'_, str>)]) -> Done {
        for (at, term) in self.sheet.terms.iter().enumerate() {
            let between: &[u8] = if at > 0 { b"\t" } else { b"" };
            self.out.write_all(between)?;
            if let Some((_, value)) = cells.iter().find(|(name, _)| name == term) {
                self.out.write_all(one_line(value).as_bytes())?;
            }
        }
        self.out.write_all(b"\n")?;
        self.count += 1;
        let unknown = cells
            .iter()
            .find(|(name, _)| !self.sheet.terms.contains(name));
        match unknown {
            None => Ok(()),
            Some((name, _)) => Err(ExportError::Ours(format!(
                "{} has no column {name}",
                self.sheet.file
            ))),
        }
    }
}

fn one_line(text: &str) -> Cow<'_, str> {
    match text.contains(|c: char| c.is_control()) {
        true => Cow::Owned(text.replace(|c: char| c.is_control(), " ")),
        false => Cow::Borrowed(text),
    }
}

/// A number as text, without an exponent; empty for none.
pub(super) fn number(value: Option<f64>) -> Cow<'static, str> {
    match value.filter(|value| value.is_finite()) {
        Some(value) => Cow::Owned(value.to_string()),
        None => Cow::Borrowed(""),
    }
}
