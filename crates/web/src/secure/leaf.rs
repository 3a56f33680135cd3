//! The certificate that this laptop shows: for the addresses it has, for a year.

use std::collections::BTreeSet;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};
use std::sync::Arc;

use jiff::ToSpan;
use jiff::civil::Date;
use rcgen::{CertificateParams, ExtendedKeyUsagePurpose, IsCa, KeyPair, KeyUsagePurpose, SanType};
use rustls::ServerConfig;
use rustls::pki_types::{CertificateDer, PrivateKeyDer, PrivatePkcs8KeyDer};

use super::authority::{Authority, AuthorityFault, called, counts};
use super::names::is_private;

/// Days for which it counts backwards: a phone's clock may be behind the laptop's.
const BACKDATED: i64 = 30;

/// Days for which it counts; with those before, fewer than the 398 that browsers take at most.
const LASTS: i64 = 366;

/// Days before its end on which it is made anew.
const LAST_DAYS: i64 = 30;

/// A certificate of this laptop, ready to be shown.
#[derive(Debug)]
pub(super) struct Leaf {
    /// For a TLS listener that speaks HTTP/1.1.
    pub config: Arc<ServerConfig>,
    addresses: BTreeSet<IpAddr>,
    from: Date,
    until: Date,
}

impl Leaf {
    /// Made for the private ones among these addresses, a name of this machine and `localhost`.
    pub fn issue(
        authority: &Authority,
        mut addresses: BTreeSet<IpAddr>,
        host: Option<&str>,
        today: Date,
    ) -> Result<Leaf, AuthorityFault> {
        addresses.insert(IpAddr::V4(Ipv4Addr::LOCALHOST));
        addresses.insert(IpAddr::V6(Ipv6Addr::LOCALHOST));
        addresses.retain(|address| is_private(*address));
        let from = today.saturating_sub(BACKDATED.days());
        let until = today.saturating_add(LASTS.days()).min(authority.until);
        let mut names = Vec::new();
        for name in host.into_iter().chain(["localhost"]) {
            names.push(SanType::DnsName(name.try_into()?));
        }
        names.extend(addresses.iter().copied().map(SanType::IpAddress));
        let (certificate, key) = signed(authority, names, from, until)?;
        let key = PrivateKeyDer::Pkcs8(PrivatePkcs8KeyDer::from(key.serialize_der()));
        let mut config = ServerConfig::builder_with_provider(provider())
            .with_safe_default_protocol_versions()
            .and_then(|config| {
                let config = config.with_no_client_auth();
                config.with_single_cert(vec![certificate], key)
            })
            .map_err(|error| AuthorityFault::Making(error.to_string()))?;
        config.alpn_protocols = vec![b"http/1.1".to_vec()];
        Ok(Leaf {
            config: Arc::new(config),
            addresses,
            from,
            until,
        })
    }

    /// Whether it can be shown to who arrived at this address today.
    pub fn fits(&self, arrived: IpAddr, today: Date) -> bool {
        let known = self.addresses.contains(&arrived) || !is_private(arrived);
        // Made by a clock that was ahead and has been set back: it does not count yet.
        let counts = self.from <= today;
        known && counts && today < self.until.saturating_sub(LAST_DAYS.days())
    }
}

/// The same arithmetic of ring for all that is made and shown here.
pub(super) fn provider() -> Arc<rustls::crypto::CryptoProvider> {
    Arc::new(rustls::crypto::ring::default_provider())
}

/// A server's certificate and its key.
pub(super) fn signed(
    authority: &Authority,
    names: Vec<SanType>,
    from: Date,
    until: Date,
) -> Result<(CertificateDer<'static>, KeyPair), AuthorityFault> {
    let mut params = CertificateParams::default();
    counts(&mut params, from, until);
    params.distinguished_name = called("Standbook");
    params.subject_alt_names = names;
    params.is_ca = IsCa::ExplicitNoCa;
    params.key_usages = vec![KeyUsagePurpose::DigitalSignature];
    params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
    params.use_authority_key_identifier_extension = true;
    let key = KeyPair::generate()?;
    Ok((authority.sign(&params, &key)?, key))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use jiff::civil::date;

    use super::*;

    #[test]
    fn it_is_made_anew_for_a_new_address_in_its_last_days_and_when_the_clock_was_ahead() {
        let folder = tempfile::tempdir().unwrap();
        let authority = Authority::of_folder(folder.path()).unwrap();
        let today = date(2026, 7, 14);
        let at = |text: &str| -> IpAddr { text.parse().unwrap() };
        let addresses = BTreeSet::from([at("192.168.43.1"), at("8.8.8.8")]);
        let leaf = Leaf::issue(&authority, addresses, Some("marsh.local"), today).unwrap();
        assert!(leaf.fits(at("192.168.43.1"), today));
        assert!(leaf.fits(at("127.0.0.1"), today));
        assert!(!leaf.fits(at("192.168.43.2"), today), "a new address");
        // It could not stand in a certificate anyway: no reason to make one again and again.
        assert!(leaf.fits(at("8.8.8.8"), today));
        let last = date(2027, 7, 15);
        assert_eq!((leaf.from, leaf.until), (date(2026, 6, 14), last));
        assert!(leaf.fits(at("127.0.0.1"), last.saturating_sub(31.days())));
        assert!(!leaf.fits(at("127.0.0.1"), last.saturating_sub(30.days())));
        assert!(!leaf.fits(at("127.0.0.1"), date(2026, 6, 13)));
        assert!((leaf.until - leaf.from).get_days() <= 397);
    }
}
