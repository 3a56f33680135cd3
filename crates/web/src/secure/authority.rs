//! The certificate authority of this laptop: made once, kept in one file with its key.
//!
//! In: a folder of this user's. Out: what signs the laptop's certificate, and what a phone installs.
//! Not beside the book: books are copied and shared, and a key that travels with them is none. Never
//! replaced by the program: phones that installed it would trust nothing any more, so a file that
//! can't be used is named and left alone.

use std::io;
use std::path::Path;

use jiff::ToSpan;
use jiff::civil::{Date, date};
use rcgen::{
    BasicConstraints, CertificateParams, DistinguishedName, DnType, IsCa, Issuer, KeyPair,
    KeyUsagePurpose, SanType,
};
use rustls::RootCertStore;
use rustls::client::WebPkiServerVerifier;
use rustls::client::danger::ServerCertVerifier;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, ServerName, UnixTime};
use sha2::{Digest, Sha256};

use super::leaf::{provider, signed};
use super::names;
use crate::whole;

/// Name of its file.
const FILE: &str = "authority.pem";

/// Years for which a phone trusts it.
const LASTS_YEARS: i64 = 10;

/// Since when it counts, whatever the clocks of laptop and phone say when it is made.
const FROM: Date = date(2025, 1, 1);

/// Why there is no authority.
#[derive(Debug, thiserror::Error)]
pub enum AuthorityFault {
    /// The disk says no.
    #[error("this laptop's certificate authority {path} can't be {what}: {source}")]
    Disk {
        /// The file, or its folder.
        path: String,
        /// `read` or `written`.
        what: &'static str,
        /// Why.
        source: io::Error,
    },
    /// The file is there and is none.
    #[error(
        "{path} holds no certificate authority that can be used ({why}). Phones that installed it trust no other, so it is left as it is. Put a copy of it back; or move it away and start again: a new one is made, and every phone must install that"
    )]
    Damaged {
        /// The file.
        path: String,
        /// What is wrong.
        why: String,
    },
    /// The system gives no random numbers, or a name can't stand in a certificate.
    #[error("no certificate can be made here: {0}")]
    Making(String),
}

impl From<rcgen::Error> for AuthorityFault {
    fn from(error: rcgen::Error) -> Self {
        AuthorityFault::Making(error.to_string())
    }
}

/// What vouches for this laptop.
#[derive(Debug)]
pub struct Authority {
    issuer: Issuer<'static, KeyPair>,
    certificate: CertificateDer<'static>,
    /// Its name, as phones list it.
    pub name: String,
    /// The last day on which phones trust it.
    pub until: Date,
}

impl Authority {
    /// The authority that is kept in a folder; made, with the folder, where there is none.
    pub fn of_folder(folder: &Path) -> Result<Authority, AuthorityFault> {
        let path = folder.join(FILE);
        match std::fs::read_to_string(&path) {
            Ok(text) => return Authority::read(&text, &path),
            Err(error) if error.kind() == io::ErrorKind::NotFound => {}
            Err(error) if error.kind() == io::ErrorKind::InvalidData => {
                return Err(damaged(&path, "it is no text"));
            }
            Err(source) => return Err(disk(&path, "read", source)),
        }
        let text = make(names::today())?;
        make_folder(folder).map_err(|source| disk(folder, "written", source))?;
        match whole::place(&path, text.as_bytes()) {
            Ok(()) => {}
            // Another program was first, and its phones are ours.
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            Err(source) => return Err(disk(&path, "written", source)),
        }
        let text = std::fs::read_to_string(&path).map_err(|e| disk(&path, "read", e))?;
        Authority::read(&text, &path)
    }

    /// Out of the text of its file.
    fn read(text: &str, path: &Path) -> Result<Authority, AuthorityFault> {
        let fault = |why: &str| damaged(path, why);
        let key = KeyPair::from_pem(text).map_err(|_| fault("its private key can't be read"))?;
        let certificate = CertificateDer::from_pem_slice(text.as_bytes())
            .map_err(|_| fault("its certificate can't be read"))?;
        let (name, until) =
            told(&certificate).ok_or_else(|| fault("its certificate can't be read"))?;
        let issuer = Issuer::from_ca_cert_der(&certificate, key)
            .map_err(|_| fault("its certificate can't be read"))?;
        let authority = Authority {
            issuer,
            certificate,
            name,
            until,
        };
        authority.check().map_err(|why| fault(&why))?;
        Ok(authority)
    }

    /// That key and certificate belong together, and that a phone which trusts it trusts no more
    /// than the page says. Another authority put into this place might vouch for the whole world.
    fn check(&self) -> Result<(), String> {
        let to = |text: &str| -> Result<ServerName<'static>, String> {
            ServerName::try_from(text.to_owned()).map_err(|e| e.to_string())
        };
        for (name, own) in [
            ("localhost", true),
            ("192.168.43.1", true),
            ("standbook.example", false),
            ("203.0.113.9", false),
        ] {
            let name = to(name)?;
            let standing = match &name {
                ServerName::DnsName(name) => name.as_ref().try_into().map(SanType::DnsName),
                ServerName::IpAddress(ip) => Ok(SanType::IpAddress((*ip).into())),
                _ => continue,
            };
            let names = vec![standing.map_err(|e| e.to_string())?];
            let day = FROM.saturating_add(1.day());
            let (leaf, _) = signed(self, names, FROM, day).map_err(|e| e.to_string())?;
            if self.vouches(&leaf, &name) != own {
                return Err(match own {
                    true => "key and certificate do not belong together".to_owned(),
                    false => "it could vouch for any website".to_owned(),
                });
            }
        }
        Ok(())
    }

    /// Whether who trusts this authority takes a certificate for a server of that name.
    fn vouches(&self, leaf: &CertificateDer<'_>, name: &ServerName<'_>) -> bool {
        let mut roots = RootCertStore::empty();
        let verifier = roots.add(self.certificate.clone()).ok().and_then(|()| {
            WebPkiServerVerifier::builder_with_provider(roots.into(), provider())
                .build()
                .ok()
        });
        let noon = FROM
            .at(12, 0, 0, 0)
            .to_zoned_datetime(jiff::tz::TimeZone::UTC);
        let noon = noon.map_or(0, |noon| noon.timestamp().as_second().unsigned_abs());
        let at = UnixTime::since_unix_epoch(std::time::Duration::from_secs(noon));
        verifier.is_some_and(|verifier| {
            let said = verifier.verify_server_cert(leaf, &[], name, &[], at);
            said.is_ok()
        })
    }

    /// The certificate that phones install, DER (RFC 5280). The key is not in it.
    pub fn certificate(&self) -> &[u8] {
        &self.certificate
    }

    /// SHA-256 of the certificate as phones show it, 32 pairs of hexadecimal digits, in four lines:
    /// eyes compare eight at a time.
    pub fn fingerprint(&self) -> [String; 4] {
        let digest = Sha256::digest(&self.certificate);
        let pairs: Vec<String> = digest.iter().map(|byte| format!("{byte:02X}")).collect();
        let mut lines = pairs.chunks(8).map(|line| line.join(":"));
        std::array::from_fn(|_| lines.next().unwrap_or_default())
    }

    pub(super) fn sign(
        &self,
        params: &CertificateParams,
        key: &KeyPair,
    ) -> Result<CertificateDer<'static>, AuthorityFault> {
        Ok(params.signed_by(key, &self.issuer)?.der().clone())
    }
}

/// A new authority as its file: the key, then the certificate.
fn make(today: Date) -> Result<String, AuthorityFault> {
    let host = names::of_this_machine();
    let host = host.as_deref().unwrap_or("a laptop");
    // A common name has at most 64 characters (RFC 5280, A.1), and the day tells two apart.
    let host: String = host.trim_end_matches(".local").chars().take(32).collect();
    let mut params = CertificateParams::default();
    counts(&mut params, FROM, today.saturating_add(LASTS_YEARS.years()));
    params.distinguished_name = called(&format!("Standbook on {host}, {today}"));
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign];
    params.name_constraints = Some(names::constraints());
    let key = KeyPair::generate()?;
    let certificate = params.self_signed(&key)?;
    Ok(format!("{}{}", key.serialize_pem(), certificate.pem()))
}

/// Name and last day of a certificate.
fn told(certificate: &[u8]) -> Option<(String, Date)> {
    let (_, read) = x509_parser::parse_x509_certificate(certificate).ok()?;
    let name = read.subject().iter_common_name().next()?;
    let until = read.validity().not_after.timestamp();
    let until = jiff::Timestamp::from_second(until).ok()?;
    let until = until.to_zoned_datetime(jiff::tz::TimeZone::UTC).date();
    Some((name.as_str().ok()?.to_owned(), until))
}

pub(super) fn called(name: &str) -> DistinguishedName {
    let mut all = DistinguishedName::new();
    all.push(DnType::CommonName, name);
    all
}

/// From the first moment of one day to the first of another, UTC.
pub(super) fn counts(params: &mut CertificateParams, from: Date, until: Date) {
    let moment = |day: Date| {
        let (month, of_month) = (day.month().unsigned_abs(), day.day().unsigned_abs());
        rcgen::date_time_ymd(day.year().into(), month, of_month)
    };
    params.not_before = moment(from);
    params.not_after = moment(until);
}

/// A folder that only its owner looks into.
fn make_folder(folder: &Path) -> io::Result<()> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}

fn disk(path: &Path, what: &'static str, source: io::Error) -> AuthorityFault {
    AuthorityFault::Disk {
        path: shown(path),
        what,
        source,
    }
}

fn damaged(path: &Path, why: &str) -> AuthorityFault {
    AuthorityFault::Damaged {
        path: shown(path),
        why: why.to_owned(),
    }
}

fn shown(path: &Path) -> String {
    path.display().to_string()
}
