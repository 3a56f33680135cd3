//! A zip of tables as CSV (RFC 4180: comma, CR LF, UTF-8), with `dictionary.csv` and, where they were asked
//! for, pictures.
//!
//! A cell that a spreadsheet would run as a formula has an apostrophe in front (`formulas`). An empty cell
//! is always an unquoted nothing; what it means stands in the dictionary.

use std::borrow::Cow;
use std::io::Write;

use csv::{Terminator, Writer, WriterBuilder};

use crate::error::Done;
use crate::formulas::guarded;
use crate::leaving::Leaving;
use crate::pictures;
use crate::request::Request;
use crate::tables::{Sink, Source, Table, Value, fits, tables};
use crate::zipped::Zipped;

/// Names of the dictionary's own columns.
pub(crate) const DICTIONARY: [&str; 8] = [
    "table",
    "table_meaning",
    "column",
    "meaning",
    "unit",
    "type",
    "allowed",
    "empty_means",
];

/// Writes the archive; rows by file come back.
pub(crate) fn write<W: Write>(leaving: &Leaving, to: W) -> Done<Vec<(String, u64)>> {
    let mut zip = Zipped::new(to);
    let pictures = pictures::write(leaving, &mut zip)?;
    let source = Source {
        leaving,
        pictures: &pictures,
    };
    let mut counts = Vec::new();
    for table in tables(leaving.request) {
        let name = format!("{}.csv", table.name);
        let rows = zip.entry(&name, |out| {
            let columns = table.columns();
            let mut rows = Rows {
                table,
                columns: columns.len(),
                csv: csv_into(out),
                count: 0,
            };
            rows.csv
                .write_record(columns.iter().map(|column| column.name))?;
            (table.fill)(&source, &mut rows)?;
            rows.csv.flush()?;
            Ok(rows.count)
        })?;
        counts.push((name, rows));
    }
    zip.entry("dictionary.csv", |out| {
        let mut csv = csv_into(out);
        csv.write_record(DICTIONARY)?;
        for line in dictionary(leaving.request) {
            csv.write_record(line.iter().map(|cell| guarded(cell)).map(Cow::into_owned))?;
        }
        Ok(csv.flush()?)
    })?;
    zip.entry("README.txt", |out| {
        Ok(out.write_all(readme(leaving).as_bytes())?)
    })?;
    if !pictures.is_empty() {
        counts.push(("photos".to_owned(), pictures.len() as u64));
    }
    zip.finish()?;
    Ok(counts)
}

/// The lines of the dictionary.
pub(crate) fn dictionary(request: &Request) -> impl Iterator<Item = [&'static str; 8]> {
    tables(request).flat_map(|table| {
        let columns = table.columns().into_iter();
        columns.map(|it| {
            [
                table.name,
                table.meaning,
                it.name,
                it.meaning,
                it.unit,
                it.holds.name(),
                it.allowed,
                match it.empty {
                    "" => "never empty",
                    means => means,
                },
            ]
        })
    })
}

fn readme(leaving: &Leaving) -> String {
    let mut out = format!(
        "Tables of a field book of plantings of native grasses, taken out on {}.\n\nEach file is CSV as in RFC 4180: UTF-8, comma, first line names the columns; dates as 2026-05-12,\ninstants in UTC. dictionary.csv says of every column what it means, its unit, its type, what may stand\nthere and what an empty cell means. Tables refer to each other by ids.\n\nText that a spreadsheet would run as a formula (it begins with = + - @, a tab or an apostrophe) has one\napostrophe put in front. A program that reads text columns takes one apostrophe off the front.\n",
        leaving.given.today
    );
    for words in [leaving.generalised(), leaving.withheld()] {
        if !words.is_empty() {
            out.push('\n');
            out.push_str(&words);
            out.push('\n');
        }
    }
    out
}

fn csv_into(out: &mut dyn Write) -> Writer<&mut dyn Write> {
    WriterBuilder::new()
        .terminator(Terminator::CRLF)
        .from_writer(out)
}

struct Rows<'a> {
    table: &'static Table,
    columns: usize,
    csv: Writer<&'a mut dyn Write>,
    count: u64,
}

impl Sink for Rows<'_> {
    fn row(&mut self, cells: &[Value<'_>]) -> Done {
        fits(self.table, self.columns, cells)?;
        for cell in cells {
            let text = match cell {
                Value::Text(text) => guarded(text),
                // As short as it can be and still read as the same number.
                Value::Real(value) => Cow::Owned(value.to_string()),
                Value::Whole(value) => Cow::Owned(value.to_string()),
                Value::Truth(true) => Cow::Borrowed("true"),
                Value::Truth(false) => Cow::Borrowed("false"),
                Value::Empty => Cow::Borrowed(""),
            };
            self.csv.write_field(text.as_bytes())?;
        }
        self.csv.write_record(None::<&[u8]>)?;
        self.count += 1;
        Ok(())
    }
}
