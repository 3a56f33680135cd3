//! For which names and numbers this laptop's authority may vouch, and for how long.

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};

use jiff::civil::{Date, date};
use rcgen::{CidrSubnet, GeneralSubtree, NameConstraints};

/// Private networks by address and bits: RFC 1918; RFC 3927 (link-local); RFC 1122, 3.2.1.3 (this
/// machine); RFC 4193 and RFC 4291, 2.5.3 and 2.5.6, the same in IPv6.
const PRIVATE: [(IpAddr, u8); 8] = [
    (IpAddr::V4(Ipv4Addr::new(10, 0, 0, 0)), 8),
    (IpAddr::V4(Ipv4Addr::new(172, 16, 0, 0)), 12),
    (IpAddr::V4(Ipv4Addr::new(192, 168, 0, 0)), 16),
    (IpAddr::V4(Ipv4Addr::new(169, 254, 0, 0)), 16),
    (IpAddr::V4(Ipv4Addr::new(127, 0, 0, 0)), 8),
    (IpAddr::V6(Ipv6Addr::new(0xfc00, 0, 0, 0, 0, 0, 0, 0)), 7),
    (IpAddr::V6(Ipv6Addr::new(0xfe80, 0, 0, 0, 0, 0, 0, 0)), 10),
    (IpAddr::V6(Ipv6Addr::LOCALHOST), 128),
];

/// Names, with all that end in them: RFC 6762, 3 (the local link) and RFC 6761, 6.3.
const NAMES: [&str; 2] = ["local", "localhost"];

/// A clock before this day is wrong: the program is not older.
const EARLIEST: Date = date(2026, 1, 1);

/// Whether an address is one that can stand in a certificate of this laptop. One that can't would
/// make the whole certificate void.
pub fn is_private(address: IpAddr) -> bool {
    let bits = |ip: IpAddr| match ip {
        // To the upper end: networks are compared by their first bits.
        IpAddr::V4(ip) => u128::from(ip.to_bits()) << 96,
        IpAddr::V6(ip) => ip.to_bits(),
    };
    PRIVATE.iter().any(|&(network, length)| {
        let differ = bits(network) ^ bits(address);
        network.is_ipv4() == address.is_ipv4() && differ.leading_zeros() >= u32::from(length)
    })
}

/// The same as a certificate says it (RFC 5280, 4.2.1.10).
pub(super) fn constraints() -> NameConstraints {
    let names = NAMES.map(|name| GeneralSubtree::DnsName(name.to_owned()));
    let networks = PRIVATE.map(|(network, length)| {
        GeneralSubtree::IpAddress(CidrSubnet::from_addr_prefix(network, length))
    });
    NameConstraints {
        permitted_subtrees: names.into_iter().chain(networks).collect(),
        excluded_subtrees: Vec::new(),
    }
}

/// The name of this machine in the local network, such as `marsh.local` (RFC 6762).
pub fn of_this_machine() -> Option<String> {
    local_name(&gethostname::gethostname().to_string_lossy())
}

fn local_name(host: &str) -> Option<String> {
    let label = host.split('.').next()?.to_ascii_lowercase();
    let fits = |c: char| c.is_ascii_alphanumeric() || c == '-';
    let sound = !label.is_empty() && label.len() <= 63 && label.chars().all(fits);
    (sound && label != "localhost" && !label.starts_with('-')).then(|| format!("{label}.local"))
}

/// Today, UTC, by this machine's clock, where that can be.
pub(super) fn today() -> Date {
    let now = jiff::Timestamp::now().to_zoned_datetime(jiff::tz::TimeZone::UTC);
    now.date().max(EARLIEST)
}

/// Whether this machine's clock shows a day that can't be: phones then refuse its certificate.
pub fn clock_is_wrong() -> bool {
    let now = jiff::Timestamp::now().to_zoned_datetime(jiff::tz::TimeZone::UTC);
    now.date() < EARLIEST
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn networks_end_where_their_standards_say() {
        for (address, private) in [
            ("10.255.255.255", true),
            ("11.0.0.0", false),
            ("172.15.255.255", false),
            ("172.16.0.1", true),
            ("172.31.255.255", true),
            ("172.32.0.0", false),
            ("192.168.43.1", true),
            ("192.169.0.1", false),
            ("169.254.9.9", true),
            ("127.0.0.2", true),
            ("8.8.8.8", false),
            ("0.0.0.0", false),
            ("fd00::1", true),
            ("fe80::1", true),
            ("fec0::1", false),
            ("::1", true),
            ("::2", false),
            // 127.0.0.1 and 10.0.0.1 by their bits, but in IPv6.
            ("7f00::1", false),
            ("a00::1", false),
            ("2001:db8::1", false),
        ] {
            assert_eq!(is_private(address.parse().unwrap()), private, "{address}");
        }
    }

    #[test]
    fn a_machine_is_called_by_its_first_label() {
        let called = |host| local_name(host);
        assert_eq!(called("Marsh-2"), Some("marsh-2.local".to_owned()));
        assert_eq!(called("marsh.fen.example"), Some("marsh.local".to_owned()));
        for none in [
            "",
            "localhost",
            "-a",
            "a b",
            "a_b",
            "m\u{e4}rz",
            &"x".repeat(64),
        ] {
            assert_eq!(called(none), None, "{none}");
        }
    }
}
