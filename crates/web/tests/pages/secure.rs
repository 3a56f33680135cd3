//! The certificate authority of a laptop: what it can vouch for by rustls and by OpenSSL, who may read
//! it, and what becomes of a broken one.

use std::net::IpAddr;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;

use rcgen::{
    BasicConstraints, CertificateParams, ExtendedKeyUsagePurpose, IsCa, Issuer, KeyPair, SanType,
};
use rustls::client::WebPkiServerVerifier;
use rustls::client::danger::ServerCertVerifier;
use rustls::pki_types::{CertificateDer, ServerName, UnixTime};
use standbook_web::secure::{Authority, AuthorityFault};
use tempfile::TempDir;

/// Names that a server could have, and whether a laptop's authority may vouch for them.
const NAMES: [(&str, bool); 17] = [
    ("192.168.43.1", true),
    ("10.42.0.1", true),
    ("172.20.10.1", true),
    ("169.254.7.7", true),
    ("127.0.0.1", true),
    ("fd12:3456::1", true),
    ("fe80::1", true),
    ("::1", true),
    ("marsh.local", true),
    ("localhost", true),
    ("example.org", false),
    ("local.example.org", false),
    ("marsh.notlocal", false),
    ("8.8.8.8", false),
    ("172.32.0.1", false),
    ("192.169.0.1", false),
    ("2001:db8::1", false),
];

struct Made {
    folder: TempDir,
    text: String,
    certificate: CertificateDer<'static>,
}

impl Made {
    fn new() -> Made {
        let folder = TempDir::new().unwrap();
        let authority = Authority::of_folder(folder.path()).unwrap();
        let text = std::fs::read_to_string(folder.path().join("authority.pem")).unwrap();
        let certificate = CertificateDer::from(authority.certificate().to_vec());
        Made {
            folder,
            text,
            certificate,
        }
    }

    /// A server's certificate by the key of the file, as a thief of it would make one.
    fn forge(&self, name: &str) -> rcgen::Certificate {
        let key = KeyPair::from_pem(&self.text).unwrap();
        let issuer = Issuer::from_ca_cert_der(&self.certificate, key).unwrap();
        let mut params = CertificateParams::default();
        params.not_before = rcgen::date_time_ymd(2026, 1, 1);
        params.not_after = rcgen::date_time_ymd(2026, 12, 31);
        params.subject_alt_names = vec![match name.parse::<IpAddr>() {
            Ok(ip) => SanType::IpAddress(ip),
            Err(_) => SanType::DnsName(name.try_into().unwrap()),
        }];
        params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
        params.use_authority_key_identifier_extension = true;
        let own = KeyPair::generate().unwrap();
        params.signed_by(&own, &issuer).unwrap()
    }
}

/// Noon of 14 July 2026, UTC; seconds.
const AT: u64 = 1_784_030_400;

#[test]
fn a_stolen_authority_vouches_for_nothing_beyond_private_networks() {
    let made = Made::new();
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let mut roots = rustls::RootCertStore::empty();
    roots.add(made.certificate.clone()).unwrap();
    let verifier = WebPkiServerVerifier::builder_with_provider(roots.into(), provider);
    let verifier = verifier.build().unwrap();
    for (name, may) in NAMES {
        let leaf = made.forge(name);
        let server = ServerName::try_from(name).unwrap();
        let at = UnixTime::since_unix_epoch(std::time::Duration::from_secs(AT));
        let said = verifier.verify_server_cert(leaf.der(), &[], &server, &[], at);
        assert_eq!(said.is_ok(), may, "{name}: {said:?}");
        if let Err(refused) = said {
            // For its name, and for nothing that this test did wrong.
            assert!(
                format!("{refused:?}").contains("NameConstraintViolation"),
                "{name}: {refused:?}"
            );
        }
    }
}

/// An outside judge: Debian's openssl, which `cargo xtask test` installs.
#[test]
fn openssl_says_the_same() {
    let made = Made::new();
    let root = made.folder.path().join("root.pem");
    let pem = made.text.find("-----BEGIN CERTIFICATE").unwrap();
    std::fs::write(&root, &made.text[pem..]).unwrap();
    for (name, may) in NAMES {
        let leaf = made.folder.path().join("leaf.pem");
        std::fs::write(&leaf, made.forge(name).pem()).unwrap();
        let asked = match name.parse::<IpAddr>() {
            Ok(_) => "-verify_ip",
            Err(_) => "-verify_hostname",
        };
        let done = Command::new("openssl")
            .args(["verify", "-x509_strict", "-purpose", "sslserver", "-attime"])
            .args([&AT.to_string(), asked, name])
            .arg("-CAfile")
            .args([&root, &leaf])
            .output()
            .expect("openssl starts: `cargo xtask test` installs it");
        let said = String::from_utf8_lossy(&done.stderr).into_owned();
        assert_eq!(done.status.success(), may, "{name}: {said}");
        // "permitted subtree violation", X509_V_ERR_PERMITTED_VIOLATION (47).
        assert!(may || said.contains("error 47"), "{name}: {said}");
    }
}

#[test]
fn it_is_made_once_and_for_its_owner_alone() {
    let home = TempDir::new().unwrap();
    let folder = home.path().join("data/standbook");
    // Two servers started at the same moment.
    let made: Vec<[String; 4]> = std::thread::scope(|scope| {
        let starts: Vec<_> = (0..4)
            .map(|_| scope.spawn(|| Authority::of_folder(&folder).unwrap().fingerprint()))
            .collect();
        starts.into_iter().map(|one| one.join().unwrap()).collect()
    });
    let again = Authority::of_folder(&folder).unwrap();
    assert!(
        made.iter().all(|one| *one == again.fingerprint()),
        "{made:?}"
    );
    // SHA-256: 32 bytes.
    assert_eq!(again.fingerprint().join(":").len(), 32 * 3 - 1);
    let names: Vec<_> = std::fs::read_dir(&folder).unwrap().collect();
    assert_eq!(names.len(), 1, "{names:?}");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = |path: &Path| std::fs::metadata(path).unwrap().permissions().mode() & 0o777;
        assert_eq!(mode(&folder.join("authority.pem")), 0o600);
        assert_eq!(mode(&folder), 0o700);
    }
}

/// The text of an authority that may vouch for anything, and of another laptop's key.
fn others(made: &Made) -> [(&'static str, String, &'static str); 7] {
    let mut params = CertificateParams::default();
    params.is_ca = IsCa::Ca(BasicConstraints::Unconstrained);
    let key = KeyPair::generate().unwrap();
    let wide = params.self_signed(&key).unwrap();
    let at = made.text.find("-----BEGIN CERTIFICATE").unwrap();
    let (own_key, certificate) = made.text.split_at(at);
    [
        ("nothing", String::new(), "private key can't be read"),
        (
            "torn",
            made.text[..at - 40].to_owned(),
            "private key can't be read",
        ),
        (
            "no certificate",
            own_key.to_owned(),
            "certificate can't be read",
        ),
        (
            "half a certificate",
            made.text[..at + 200].to_owned(),
            "certificate can't be read",
        ),
        (
            "another key",
            format!("{}{certificate}", key.serialize_pem()),
            "do not belong together",
        ),
        (
            "a certificate that is no authority's",
            format!("{own_key}{}", made.forge("localhost").pem()),
            "do not belong together",
        ),
        (
            "one for the whole world",
            format!("{}{}", key.serialize_pem(), wide.pem()),
            "could vouch for any website",
        ),
    ]
}

#[test]
fn a_broken_one_is_named_and_left_alone() {
    let made = Made::new();
    let path = made.folder.path().join("authority.pem");
    for (what, text, why) in others(&made) {
        std::fs::write(&path, &text).unwrap();
        let fault = Authority::of_folder(made.folder.path()).unwrap_err();
        assert!(
            matches!(fault, AuthorityFault::Damaged { .. }),
            "{what}: {fault}"
        );
        let said = fault.to_string();
        assert!(said.contains(why), "{what}: {said}");
        assert!(
            said.contains("authority.pem") && said.contains("move it away"),
            "{said}"
        );
        assert_eq!(std::fs::read_to_string(&path).unwrap(), text, "{what}");
    }
    std::fs::write(&path, [0xff, 0xfe, 0]).unwrap();
    let said = Authority::of_folder(made.folder.path())
        .unwrap_err()
        .to_string();
    assert!(said.contains("no text"), "{said}");
    std::fs::write(&path, &made.text).unwrap();
    Authority::of_folder(made.folder.path()).unwrap();
}

#[test]
fn a_folder_that_can_not_be_made_is_named() {
    let home = TempDir::new().unwrap();
    let file = home.path().join("a_file");
    std::fs::write(&file, "").unwrap();
    let folder: PathBuf = file.join("standbook");
    let said = Authority::of_folder(&folder).unwrap_err().to_string();
    assert!(said.contains("a_file"), "{said}");
}
