//! Settings of how devices reach and trust the server: addresses, certificates, proxies, names. Contradictions are told
//! here, in words, before anything is opened.

use crate::reach::NetworkSource;
use clap::Args;
use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::PathBuf;
use std::time::Duration;

/// Where phones find the welcome page, and the conductor, on this computer, everything, by default.
const DEFAULT_HTTP: SocketAddr = SocketAddr::new(IpAddr::V4(Ipv4Addr::UNSPECIFIED), 8470);
/// Where everything is over https by default.
const DEFAULT_HTTPS: SocketAddr = SocketAddr::new(IpAddr::V4(Ipv4Addr::UNSPECIFIED), 8471);
/// The name to announce by default, without its ending.
pub const LOCAL_NAME: &str = "windrow";
/// How often addresses and certificates are looked at; a person who changes the Wi-Fi waits about as long anyway.
const LOOK_EVERY: Duration = Duration::from_secs(10);

/// Options of how devices get here.
#[derive(Debug, Clone, Args)]
pub struct ReachOptions {
    /// Address for plain http: everything on this computer, a page of welcome for other devices [default: 0.0.0.0:8470].
    #[arg(long, value_name = "ADDR", help_heading = "Getting phones in")]
    pub http: Option<SocketAddr>,
    /// Address for https, where devices play [default: 0.0.0.0:8471].
    #[arg(long, value_name = "ADDR", help_heading = "Getting phones in")]
    pub https: Option<SocketAddr>,
    /// Serve plain http only: devices other than this computer cannot use their microphone then.
    #[arg(long, help_heading = "Getting phones in", conflicts_with_all = ["https", "certificate", "plain"])]
    pub no_https: bool,
    /// Certificate of your school's own with those that vouch for it (PEM), instead of one made here. Read again when it changes.
    #[arg(
        long,
        value_name = "FILE",
        requires = "key",
        group = "trusted",
        help_heading = "Getting phones in"
    )]
    pub certificate: Option<PathBuf>,
    /// Key of that certificate (PEM).
    #[arg(long, value_name = "FILE", requires = "certificate", help_heading = "Getting phones in")]
    pub key: Option<PathBuf>,
    /// Serve plain http for a proxy that ends TLS; name it with --proxy, and where devices find it with --site.
    #[arg(long, requires_all = ["proxy", "site"], conflicts_with = "https", group = "trusted", help_heading = "Getting phones in")]
    pub plain: bool,
    /// Address of a proxy whose word about who is asking (X-Forwarded-For, Forwarded) is believed. May be given again.
    #[arg(long, value_name = "IP", requires = "plain", help_heading = "Getting phones in")]
    pub proxy: Vec<IpAddr>,
    /// Where devices find this server, as https and a name, behind a proxy or with a certificate of your own.
    #[arg(long, value_name = "URL", value_parser = site, requires = "trusted", help_heading = "Getting phones in")]
    pub site: Option<String>,
    /// Name of this computer on the network, without ".local".
    #[arg(long, value_name = "NAME", default_value = LOCAL_NAME, value_parser = label, help_heading = "Getting phones in")]
    pub local_name: String,
    /// Do not announce a name on the network.
    #[arg(long, help_heading = "Getting phones in")]
    pub no_mdns: bool,
    /// Make the certificate authority without name constraints, for devices that do not take them. Whoever trusts it then
    /// trusts it for every name: guard this computer well.
    #[arg(long, conflicts_with_all = ["certificate", "plain", "no_https"], help_heading = "Getting phones in")]
    pub no_name_constraints: bool,
}

/// Where https comes from.
#[derive(Debug, Clone)]
pub enum Https {
    /// There is none here.
    None,
    /// A certificate of this computer's own authority.
    Own {
        /// Where to listen.
        addr: SocketAddr,
        /// Whether an authority that is made now may vouch for local names and private addresses only.
        constrained: bool,
    },
    /// Files of the school's.
    School {
        /// Where to listen.
        addr: SocketAddr,
        /// The certificate.
        certificate: PathBuf,
        /// Its key.
        key: PathBuf,
    },
}

/// What a server needs to know about how devices reach it.
#[derive(Debug, Clone)]
pub struct ReachConfig {
    /// Address for plain http; port 0 takes any free one.
    pub http: SocketAddr,
    /// Https.
    pub https: Https,
    /// Whether port 80 is taken as well, where the system lets it.
    pub port_80: bool,
    /// Proxies that end TLS.
    pub proxies: Vec<IpAddr>,
    /// Address of the site, where it is not this computer's.
    pub site: Option<String>,
    /// Name to announce, without its ending.
    pub local_name: Option<String>,
    /// Tells this computer's addresses.
    pub networks: NetworkSource,
    /// How often addresses and certificates are looked at.
    pub look_every: Duration,
}

impl ReachConfig {
    /// Plain http at one address and nothing else: for programs that run the server in their own process.
    pub fn plain_http(http: SocketAddr) -> Self {
        Self {
            http,
            https: Https::None,
            port_80: false,
            proxies: Vec::new(),
            site: None,
            local_name: None,
            networks: NetworkSource::default(),
            look_every: LOOK_EVERY,
        }
    }
}

impl From<ReachOptions> for ReachConfig {
    fn from(options: ReachOptions) -> Self {
        let addr = options.https.unwrap_or(DEFAULT_HTTPS);
        let https = match (options.certificate, options.key) {
            _ if options.no_https || options.plain => Https::None,
            (Some(certificate), Some(key)) => Https::School { addr, certificate, key },
            _ => Https::Own { addr, constrained: !options.no_name_constraints },
        };
        Self {
            // Whoever names an address wants that one alone.
            port_80: options.http.is_none() && !matches!(https, Https::None),
            https,
            proxies: options.proxy,
            site: options.site,
            local_name: (!options.no_mdns).then_some(options.local_name),
            ..Self::plain_http(options.http.unwrap_or(DEFAULT_HTTP))
        }
    }
}

fn label(text: &str) -> Result<String, String> {
    let name = text.to_ascii_lowercase();
    let name = name.strip_suffix(".local").unwrap_or(&name);
    if crate::tls::is_label(name) {
        Ok(name.to_owned())
    } else {
        Err(format!(
            "\"{text}\" cannot be a name on the network: use letters, digits and hyphens, 63 at most"
        ))
    }
}

/// Reads the address of a site: https, a name, perhaps a port, nothing behind it.
fn site(text: &str) -> Result<String, String> {
    let rest = text.strip_prefix("https://").ok_or("the site's address begins with https://")?;
    let rest = rest.strip_suffix('/').unwrap_or(rest).to_ascii_lowercase();
    let (host, port) = rest.split_once(':').unwrap_or((&rest, "443"));
    let is_host = !host.is_empty() && host.split('.').all(crate::tls::is_label);
    if is_host && port.parse::<u16>().is_ok() {
        Ok(format!("https://{rest}"))
    } else {
        Err(format!(
            "\"{text}\" is no site's address, such as https://winds.school.example or the same with :8471"
        ))
    }
}

#[cfg(test)]
mod tests {
    use crate::config::{Cli, Command};
    use clap::Parser;

    fn check(options: &[&str], expected: Result<(), &str>) {
        let words = ["windrow", "serve"].iter().chain(options);
        match (Cli::try_parse_from(words), expected) {
            (Ok(Cli { command: Command::Serve(_), .. }), Ok(())) => {}
            (Err(error), Err(part)) => assert!(error.to_string().contains(part), "{options:?}: {error}"),
            (read, _) => panic!("{options:?}: {read:?}"),
        }
    }

    #[test]
    fn options_that_contradict_each_other_are_told() {
        check(&[], Ok(()));
        check(&["--certificate", "a.pem", "--key", "b.pem"], Ok(()));
        check(&["--certificate", "a.pem"], Err("--key"));
        check(&["--no-https", "--https", "0.0.0.0:1"], Err("cannot be used with"));
        check(&["--plain"], Err("--proxy"));
        check(&["--plain", "--proxy", "10.0.0.1"], Err("--site"));
        let site = ["--site", "https://winds.school.example"];
        check(&[&["--plain", "--proxy", "10.0.0.1", "--proxy", "10.0.0.2"], &site[..]].concat(), Ok(()));
        check(&site, Err("--certificate"));
        check(&["--proxy", "10.0.0.1"], Err("--plain"));
        let both = ["--plain", "--proxy", "10.0.0.1", "--certificate", "a.pem", "--key", "b.pem"];
        check(&[&both, &site[..]].concat(), Err("cannot be used with"));
        check(&["--no-name-constraints", "--no-https"], Err("cannot be used with"));
    }

    #[test]
    fn names_and_sites_are_checked() {
        check(&["--local-name", "Winds.local"], Ok(()));
        check(&["--local-name", "our winds"], Err("cannot be a name on the network"));
        let school = ["--certificate", "a.pem", "--key", "b.pem", "--site"];
        check(&[&school[..], &["https://winds.school.example:8471/"]].concat(), Ok(()));
        for site in
            ["http://winds.school.example", "https://", "https://winds.school.example/room", "https://a:b"]
        {
            check(&["--site", site], Err("site"));
        }
    }
}
