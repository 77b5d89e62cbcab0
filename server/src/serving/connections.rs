//! How many connections may be open at once, in all and from one address, and which of them are only told that there are too
//! many. It must not know what is said over them.

use std::collections::{HashMap, HashSet};
use std::net::{IpAddr, Ipv6Addr, SocketAddr};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Open files that are not connections: the records with their logs, listeners, what is read and written meanwhile. Our own choice.
const OTHER_FILES: usize = 128;
/// Open files asked of the system, and the most connections whatever it gives: far more than a school has devices.
const MOST_FILES: usize = 16_384;
/// Connections beyond the most that are told so, rather than left without an answer.
const TOLD: usize = 64;
/// Connections kept free for this computer beyond those: whoever floods the room, the conductor still gets in.
const KEPT_FREE: usize = 64;
/// Most of one address, and the share of all that it may have at most: a class behind one address has some hundred devices with two to
/// six connections each. Our own choice.
const MOST_OF_ONE: usize = 1024;
const SHARE_OF_ONE: usize = 2;

/// The connections of a server; copies share them.
#[derive(Debug, Clone)]
pub(crate) struct Connections {
    inner: Arc<Inner>,
}

#[derive(Debug)]
struct Inner {
    most: usize,
    /// Proxies speak for many: they are counted like this computer.
    proxies: Vec<IpAddr>,
    open: Mutex<Open>,
}

#[derive(Debug, Default)]
struct Open {
    n_all: usize,
    by_address: HashMap<IpAddr, usize>,
    /// Those that are only told that they are too many.
    told: HashSet<SocketAddr>,
}

impl Connections {
    /// For a server in a process that may have this many open files.
    pub(super) fn new(files: usize, proxies: Vec<IpAddr>) -> Self {
        let most = files.min(MOST_FILES).saturating_sub(OTHER_FILES + TOLD + KEPT_FREE).max(KEPT_FREE);
        Self { inner: Arc::new(Inner { most, proxies, open: Mutex::default() }) }
    }

    /// A place for a connection that was made; `None` where it has to be dropped.
    pub(super) fn take(&self, from: SocketAddr) -> Option<Place> {
        let ip = from.ip().to_canonical();
        let is_own = ip.is_loopback() || self.inner.proxies.contains(&ip);
        let most = self.inner.most;
        let mut open = self.lock();
        if open.n_all >= most + TOLD + if is_own { KEPT_FREE } else { 0 } {
            return None;
        }
        let whose = household(ip);
        let n_of_one = open.by_address.get(&whose).copied().unwrap_or_default();
        let most_of_one = MOST_OF_ONE.min(most / SHARE_OF_ONE);
        if !is_own && n_of_one >= most_of_one + TOLD {
            return None;
        }
        if !is_own && (open.n_all >= most || n_of_one >= most_of_one) {
            open.told.insert(from);
        }
        open.n_all += 1;
        *open.by_address.entry(whose).or_default() += 1;
        Some(Place { connections: self.clone(), from })
    }

    /// Whether nobody gets in but this computer.
    pub(super) fn is_full(&self) -> bool {
        self.lock().n_all >= self.inner.most
    }

    /// Whether the connection from there is one too many.
    pub(crate) fn is_one_too_many(&self, from: SocketAddr) -> bool {
        self.lock().told.contains(&from)
    }

    fn lock(&self) -> MutexGuard<'_, Open> {
        self.inner.open.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// A connection's place, free again when it is dropped.
#[derive(Debug)]
pub(super) struct Place {
    connections: Connections,
    from: SocketAddr,
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut open = self.connections.lock();
        open.n_all -= 1;
        open.told.remove(&self.from);
        let whose = household(self.from.ip().to_canonical());
        if let Some(n) = open.by_address.get_mut(&whose) {
            *n -= 1;
            if *n == 0 {
                open.by_address.remove(&whose);
            }
        }
    }
}

/// A household or phone has 2^64 addresses of version 6 for itself (RFC 6177): they count as one.
fn household(ip: IpAddr) -> IpAddr {
    match ip {
        IpAddr::V6(v6) => IpAddr::V6(Ipv6Addr::from_bits(v6.to_bits() >> 64 << 64)),
        v4 => v4,
    }
}

/// How many files this process may open, after as many were asked for as connections need: a terminal's usual limit is 1,024 on Linux
/// and 256 on macOS, and a program may raise it to what the administrator allows.
pub(super) fn may_open() -> usize {
    #[cfg(unix)]
    {
        match rlimit::increase_nofile_limit(MOST_FILES as u64) {
            Ok(files) => usize::try_from(files).unwrap_or(MOST_FILES),
            Err(error) => {
                tracing::warn!(%error, "how many files may be open cannot be seen");
                1024
            }
        }
    }
    #[cfg(not(unix))]
    MOST_FILES
}

#[cfg(test)]
mod tests {
    use super::*;

    fn from(ip: &str, port: usize) -> SocketAddr {
        SocketAddr::new(ip.parse().unwrap(), port as u16)
    }

    /// Takes as many places as are given, up to `n`; how many of them are told that they are too many.
    fn fill(connections: &Connections, n: usize, ip: impl Fn(usize) -> String) -> (Vec<Place>, usize) {
        let places: Vec<_> = (0..n).filter_map(|i| connections.take(from(&ip(i), 1024 + i))).collect();
        let n_told = places.iter().filter(|place| connections.is_one_too_many(place.from)).count();
        (places, n_told)
    }

    #[test]
    fn beyond_the_most_some_are_told_and_only_this_computer_gets_in() {
        let connections = Connections::new(1024, vec!["192.168.1.9".parse().unwrap()]);
        let (mut places, n_told) = fill(&connections, 2000, |i| format!("10.0.{}.{}", i / 250, i % 250));
        assert_eq!((places.len(), n_told), (1024 - OTHER_FILES - KEPT_FREE, TOLD));
        assert!(connections.take(from("10.9.9.9", 1)).is_none() && connections.is_full());
        for own in ["127.0.0.1", "::1", "::ffff:127.0.0.1", "192.168.1.9"] {
            let place = connections.take(from(own, 1)).unwrap_or_else(|| panic!("{own}"));
            assert!(!connections.is_one_too_many(place.from), "{own}");
        }
        let (own, _) = fill(&connections, 2000, |_| "127.0.0.1".to_owned());
        assert_eq!(own.len(), KEPT_FREE, "files for the records stay free whoever asks");
        places.truncate(100);
        drop(own);
        let place = connections.take(from("10.9.9.9", 1)).unwrap();
        assert!(!connections.is_one_too_many(place.from) && !connections.is_full(), "there is room again");
        drop((places, place));
        let open = connections.lock();
        assert_eq!((open.n_all, open.by_address.len(), open.told.len()), (0, 0, 0));
    }

    #[test]
    fn one_address_never_has_all_of_them() {
        for ip in [|_| "10.0.0.5".to_owned(), |i| format!("fd00::1:{i:x}")] as [fn(usize) -> String; 2] {
            let connections = Connections::new(20_000, Vec::new());
            let (places, n_told) = fill(&connections, 3000, ip);
            assert_eq!((places.len(), n_told), (MOST_OF_ONE + TOLD, TOLD));
            assert!(!connections.is_full(), "others get in");
            assert!(
                connections.take(from("10.0.0.6", 1)).is_some_and(|p| !connections.is_one_too_many(p.from))
            );
            assert!(connections.take(from("fd00:0:0:1::1", 1)).is_some());
        }
    }

    #[test]
    fn a_system_that_gives_hardly_any_files_still_serves_some() {
        let connections = Connections::new(64, Vec::new());
        assert!(fill(&connections, 20, |_| "10.0.0.5".to_owned()).0.len() == 20);
    }
}
