//! A zip as it is written: one entry after another, none held in memory, over 4 GB too.

use std::io::{BufWriter, Write};

use zip::write::{SimpleFileOptions, StreamWriter};
use zip::{CompressionMethod, DateTime, ZipWriter};

use crate::error::Done;

/// A zip that goes straight to where it is written.
pub(crate) struct Zipped<W: Write> {
    zip: ZipWriter<StreamWriter<W>>,
}

impl<W: Write> Zipped<W> {
    pub fn new(to: W) -> Zipped<W> {
        Zipped {
            zip: ZipWriter::new_stream(to),
        }
    }

    /// One compressed entry, filled by `fill`.
    pub fn entry<T>(
        &mut self,
        name: &str,
        fill: impl FnOnce(&mut dyn Write) -> Done<T>,
    ) -> Done<T> {
        self.zip
            .start_file(name, options(CompressionMethod::Deflated))?;
        let mut buffered = BufWriter::with_capacity(1 << 16, &mut self.zip);
        let filled = fill(&mut buffered)?;
        buffered.flush()?;
        Ok(filled)
    }

    /// One entry as it is: pictures are compressed already.
    pub fn stored(&mut self, name: &str, bytes: &[u8]) -> Done {
        self.zip
            .start_file(name, options(CompressionMethod::Stored))?;
        Ok(self.zip.write_all(bytes)?)
    }

    /// Writes the list of entries.
    pub fn finish(self) -> Done {
        self.zip.finish()?.into_inner().flush()?;
        Ok(())
    }
}

/// How large an entry becomes is not known before it is written. The same book gives the same bytes: no
/// entry has a time.
fn options(method: CompressionMethod) -> SimpleFileOptions {
    SimpleFileOptions::default()
        .compression_method(method)
        .last_modified_time(DateTime::default())
        .large_file(true)
}
