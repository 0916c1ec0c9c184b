//! Finds the addresses of a host, and gives them only where all of them lie outside.
//!
//! The client connects to the very addresses that were looked at: a name that leads elsewhere a moment later (DNS rebinding)
//! gains nothing by it. It looks anew for every message.

use std::collections::BTreeSet;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr, UdpSocket};
use std::sync::Arc;
use std::time::Duration;

use reqwest::Url;
use reqwest::dns::{Addrs, Name, Resolve, Resolving};

use crate::address::{AddressFault, is_public};

/// Most characters of an address.
const LENGTH_MAX: usize = 2_000;

/// How long a host may take to be found.
const PATIENCE: Duration = Duration::from_secs(5);

/// Hosts that the owner allows by name, wherever they are and with or without encryption.
#[derive(Debug, Clone, Default)]
pub struct AllowedHosts(Arc<BTreeSet<String>>);

impl AllowedHosts {
    /// The hosts of these names or addresses; case does not matter.
    pub fn new(names: impl IntoIterator<Item = impl AsRef<str>>) -> Self {
        let bare = |name: &str| name.trim().trim_matches(['[', ']']).to_ascii_lowercase();
        Self(Arc::new(names.into_iter().map(|name| bare(name.as_ref())).collect()))
    }

    fn holds(&self, host: &str) -> bool {
        self.0.contains(&host.to_ascii_lowercase())
    }

    /// Reads an address, and refuses what can be refused without looking for its host.
    pub(crate) fn read(&self, text: &str) -> Result<Url, AddressFault> {
        if text.chars().count() > LENGTH_MAX {
            return Err(AddressFault::TooLong(LENGTH_MAX));
        }
        let malformed = || AddressFault::Malformed(text.to_owned());
        let url = Url::parse(text).map_err(|_| malformed())?;
        let host = bare_host(&url).ok_or_else(malformed)?;
        match url.scheme() {
            "https" => {}
            "http" if self.holds(host) => {}
            "http" => return Err(AddressFault::NotEncrypted),
            _ => return Err(malformed()),
        }
        if !url.username().is_empty() || url.password().is_some() {
            return Err(AddressFault::Credentials);
        }
        // An address in place of a name is connected to without being looked for, so it is judged here.
        if let Ok(address) = host.parse::<IpAddr>() {
            self.judge(host, address)?;
        }
        Ok(url)
    }

    /// The addresses of a host, if all of them lie outside or the host is allowed.
    pub(crate) async fn look_up(&self, host: &str) -> Result<Vec<SocketAddr>, AddressFault> {
        let not_found = || AddressFault::NotFound(host.to_owned());
        let found = tokio::time::timeout(PATIENCE, tokio::net::lookup_host((host, 0))).await;
        let found = found.map_err(|_| not_found())?.map_err(|_| not_found())?;
        let found: Vec<SocketAddr> = found.collect();
        if found.is_empty() {
            return Err(not_found());
        }
        for address in &found {
            self.judge(host, address.ip())?;
        }
        Ok(found)
    }

    fn judge(&self, host: &str, address: IpAddr) -> Result<(), AddressFault> {
        if self.holds(host) || (is_public(address) && !is_own(address)) {
            return Ok(());
        }
        Err(AddressFault::NotOutside { host: host.to_owned(), address })
    }
}

/// The host of an address, an IPv6 address without its brackets.
pub(crate) fn bare_host(url: &Url) -> Option<&str> {
    url.host_str().map(|host| host.trim_matches(['[', ']'])).filter(|host| !host.is_empty())
}

/// Whether an address is one of this machine's own: then the way to it begins at itself. A datagram socket that is connected
/// learns its own end of the way; nothing is sent.
fn is_own(address: IpAddr) -> bool {
    let any = match address {
        IpAddr::V4(_) => IpAddr::V4(Ipv4Addr::UNSPECIFIED),
        IpAddr::V6(_) => IpAddr::V6(Ipv6Addr::UNSPECIFIED),
    };
    let own_end = UdpSocket::bind((any, 0)).and_then(|socket| {
        socket.connect((address, 9))?;
        socket.local_addr()
    });
    own_end.is_ok_and(|own| own.ip() == address)
}

/// The resolver of the client.
#[derive(Debug)]
pub(crate) struct CheckedResolver(pub(crate) AllowedHosts);

impl Resolve for CheckedResolver {
    fn resolve(&self, name: Name) -> Resolving {
        let allowed = self.0.clone();
        Box::pin(async move {
            let found = allowed.look_up(name.as_str()).await?;
            let addresses: Addrs = Box::new(found.into_iter());
            Ok(addresses)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_is_refused_with_its_reason() {
        let none = AllowedHosts::default();
        let fault = |text: &str| none.read(text).unwrap_err();
        for text in ["", "x", "ftp://a.example/", "https://", "file:///etc/passwd", "//a.example/"] {
            assert!(matches!(fault(text), AddressFault::Malformed(_)), "{text}: {:?}", fault(text));
        }
        assert_eq!(fault("http://orders.example/"), AddressFault::NotEncrypted);
        assert_eq!(fault("https://u:p@orders.example/"), AddressFault::Credentials);
        assert_eq!(fault(&format!("https://a.example/{}", "x".repeat(2_000))), AddressFault::TooLong(2_000));
        none.read("https://orders.example:8443/hooks?shop=1").unwrap();
    }

    #[test]
    fn an_address_inside_is_refused_however_it_is_written() {
        let none = AllowedHosts::default();
        for text in [
            "https://127.0.0.1/",
            "https://127.1/",
            "https://2130706433/",
            "https://0x7f000001/",
            "https://0177.0.0.1/",
            "https://[::1]/",
            "https://[::ffff:127.0.0.1]/",
            "https://[::ffff:7f00:1]/",
            "https://10.0.0.1:8443/",
            "https://169.254.169.254/latest/meta-data/",
            "https://[fd00:ec2::254]/",
            "https://[fe80::1]/",
            "https://0.0.0.0/",
            "https://0/",
            "https://[::]/",
            "https://192.168.1.1./",
            "https://１２７.0.0.1/",
        ] {
            let fault = none.read(text).unwrap_err();
            assert!(matches!(fault, AddressFault::NotOutside { .. }), "{text}: {fault:?}");
        }
    }

    #[tokio::test]
    async fn a_name_that_leads_inside_is_refused_unless_it_is_allowed() {
        let none = AllowedHosts::default();
        none.read("https://localhost/").unwrap();
        let fault = none.look_up("localhost").await.unwrap_err();
        assert!(matches!(fault, AddressFault::NotOutside { .. }), "{fault:?}");
        let fault = none.look_up("nowhere.invalid").await.unwrap_err();
        assert_eq!(fault, AddressFault::NotFound("nowhere.invalid".to_owned()));
        let some = AllowedHosts::new(["LocalHost", "127.0.0.1", "[::1]"]);
        assert!(some.look_up("localhost").await.unwrap().iter().all(|address| address.ip().is_loopback()));
        for text in ["http://localhost:8080/", "http://127.0.0.1/", "https://[::1]/", "http://[::1]/"] {
            some.read(text).unwrap();
        }
        assert!(some.read("http://127.0.0.2/").is_err(), "only what is named is allowed");
    }

    #[test]
    fn the_own_address_is_recognised_whatever_it_is() {
        assert!(is_own("127.0.0.1".parse().unwrap()));
        assert!(!is_own("192.0.2.1".parse().unwrap()));
    }
}
