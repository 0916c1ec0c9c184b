//! Which addresses lie outside.
//!
//! What is not for the whole internet is refused by the IANA registries of special-purpose addresses (RFC 6890 and its
//! updates, for IPv4 and IPv6), as they stood in 2025. An IPv6 address that carries an IPv4 address is judged by that one, too.

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};

/// Why nothing is sent to an address.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum AddressFault {
    /// It cannot be read.
    #[error("`{0}` is no address; write https://HOST/PATH")]
    Malformed(String),
    /// It is longer than anybody needs.
    #[error("the address is longer than {0} characters")]
    TooLong(usize),
    /// It is sent in the clear.
    #[error(
        "the address must begin with https://; http:// is for hosts that the owner allows by name (--allow-webhook-host)"
    )]
    NotEncrypted,
    /// A name and password stand in it.
    #[error("the address must hold no name or password; each message is signed instead")]
    Credentials,
    /// The host is this machine, inside the shop's own network, or for a special purpose.
    #[error(
        "`{host}` is at {address}, which is not outside; the owner can allow the host by name (--allow-webhook-host)"
    )]
    NotOutside {
        /// The host as written.
        host: String,
        /// Its address.
        address: IpAddr,
    },
    /// The host has no address.
    #[error("the host `{0}` cannot be found")]
    NotFound(String),
}

/// IPv4 blocks that are not for the whole internet: the first address and how many bits are fixed.
const SPECIAL_V4: &[([u8; 4], u32)] = &[
    ([0, 0, 0, 0], 8),       // this network, RFC 791
    ([10, 0, 0, 0], 8),      // private use, RFC 1918
    ([100, 64, 0, 0], 10),   // shared by a carrier, RFC 6598
    ([127, 0, 0, 0], 8),     // loopback, RFC 1122
    ([169, 254, 0, 0], 16),  // link-local, RFC 3927; cloud metadata lies here
    ([172, 16, 0, 0], 12),   // private use, RFC 1918
    ([192, 0, 0, 0], 24),    // protocol assignments, RFC 6890
    ([192, 0, 2, 0], 24),    // documentation, RFC 5737
    ([192, 88, 99, 0], 24),  // 6to4 relays, RFC 7526
    ([192, 168, 0, 0], 16),  // private use, RFC 1918
    ([198, 18, 0, 0], 15),   // benchmarks, RFC 2544
    ([198, 51, 100, 0], 24), // documentation, RFC 5737
    ([203, 0, 113, 0], 24),  // documentation, RFC 5737
    ([224, 0, 0, 0], 4),     // multicast, RFC 5771
    ([240, 0, 0, 0], 4),     // reserved and broadcast, RFC 1112 and RFC 919
];

/// IPv6 blocks inside the global unicast addresses `2000::/3` that are not for the whole internet.
const SPECIAL_V6: &[([u16; 8], u32)] = &[
    ([0x2001, 0, 0, 0, 0, 0, 0, 0], 23), // protocol assignments, Teredo among them, RFC 2928
    ([0x2001, 0xdb8, 0, 0, 0, 0, 0, 0], 32), // documentation, RFC 3849
    ([0x3fff, 0, 0, 0, 0, 0, 0, 0], 20), // documentation, RFC 9637
];

/// Whether an address is for the whole internet.
pub fn is_public(address: IpAddr) -> bool {
    match address {
        IpAddr::V4(address) => is_public_v4(address),
        IpAddr::V6(address) => is_public_v6(address),
    }
}

fn is_public_v4(address: Ipv4Addr) -> bool {
    let number = u32::from(address);
    !SPECIAL_V4.iter().any(|(first, bits)| (number ^ u32::from(Ipv4Addr::from(*first))) >> (32 - bits) == 0)
}

fn is_public_v6(address: Ipv6Addr) -> bool {
    if let Some(carried) = carried_v4(address) {
        return is_public_v4(carried);
    }
    let number = u128::from(address);
    let inside =
        |first: &[u16; 8], bits: u32| (number ^ u128::from(Ipv6Addr::from(*first))) >> (128 - bits) == 0;
    let global = inside(&[0x2000, 0, 0, 0, 0, 0, 0, 0], 3);
    global && !SPECIAL_V6.iter().any(|(first, bits)| inside(first, *bits))
}

/// The IPv4 address that an IPv6 address leads to: mapped (RFC 4291), translated (RFC 6052), or 6to4 (RFC 3056).
fn carried_v4(address: Ipv6Addr) -> Option<Ipv4Addr> {
    let [a, b, c, d, e, f, g, h] = address.segments();
    let joined = |high: u16, low: u16| Ipv4Addr::from((u32::from(high) << 16) | u32::from(low));
    match [a, b, c, d, e, f] {
        [0, 0, 0, 0, 0, 0xffff] | [0x64, 0xff9b, 0, 0, 0, 0] => Some(joined(g, h)),
        [0x2002, high, low, ..] => Some(joined(high, low)),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_outside_is_refused() {
        for address in [
            "0.0.0.0",
            "0.1.2.3",
            "10.0.0.1",
            "10.255.255.255",
            "100.64.0.1",
            "100.127.255.255",
            "127.0.0.1",
            "127.255.255.254",
            "169.254.0.1",
            "169.254.169.254",
            "172.16.0.1",
            "172.31.255.255",
            "192.0.0.170",
            "192.0.2.1",
            "192.88.99.1",
            "192.168.0.1",
            "192.168.255.255",
            "198.18.0.1",
            "198.19.255.255",
            "198.51.100.7",
            "203.0.113.9",
            "224.0.0.1",
            "239.255.255.255",
            "240.0.0.1",
            "255.255.255.255",
            "::",
            "::1",
            "::2",
            "::127.0.0.1",
            "::ffff:0.0.0.0",
            "::ffff:127.0.0.1",
            "::ffff:10.1.2.3",
            "::ffff:169.254.169.254",
            "64:ff9b::7f00:1",
            "64:ff9b::a00:1",
            "64:ff9b:1::1",
            "100::1",
            "2001::1",
            "2001:db8::1",
            "2002:7f00:1::1",
            "2002:a00:1::",
            "2002:c0a8:101::",
            "3fff::1",
            "fc00::1",
            "fd00:ec2::254",
            "fdff:ffff::1",
            "fe80::1",
            "febf::1",
            "fec0::1",
            "ff02::1",
            "4000::1",
            "5f00::1",
        ] {
            assert!(!is_public(address.parse().unwrap()), "{address}");
        }
    }

    #[test]
    fn what_is_outside_is_let_through() {
        for address in [
            "1.1.1.1",
            "9.255.255.255",
            "11.0.0.0",
            "100.63.255.255",
            "100.128.0.0",
            "126.255.255.255",
            "128.0.0.1",
            "169.253.255.255",
            "169.255.0.0",
            "172.15.255.255",
            "172.32.0.0",
            "192.0.1.1",
            "192.167.255.255",
            "192.169.0.0",
            "198.17.255.255",
            "198.20.0.0",
            "223.255.255.255",
            "2000::1",
            "2600::1",
            "2a00:1450::1",
            "2001:200::1",
            "2001:db9::1",
            "::ffff:1.1.1.1",
            "64:ff9b::101:101",
            "2002:101:101::1",
            "3ffe::1",
        ] {
            assert!(is_public(address.parse().unwrap()), "{address}");
        }
    }
}
