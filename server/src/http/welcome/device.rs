//! Which kind of device asks, as far as its browser says (User-Agent). A guess that a person can correct; nothing else
//! hangs on it.

/// A kind of device whose steps differ from the others'.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Device {
    /// iPhone or iPad, in any browser: they all trust what the system trusts.
    Apple,
    /// An Android phone or tablet with Chrome or one of its relatives.
    Android,
    /// Firefox on Android, which does not trust what the system was told to.
    AndroidFirefox,
    /// A Chromebook.
    ChromeOs,
    /// Windows.
    Windows,
    /// A Mac.
    Mac,
    /// Linux and what is not known.
    Linux,
}

impl Device {
    /// All of them, likeliest in a classroom first.
    pub(super) const ALL: [Self; 7] = [
        Self::Apple,
        Self::Android,
        Self::AndroidFirefox,
        Self::ChromeOs,
        Self::Windows,
        Self::Mac,
        Self::Linux,
    ];

    /// Short name, as in links.
    pub(super) fn slug(self) -> &'static str {
        match self {
            Self::Apple => "apple",
            Self::Android => "android",
            Self::AndroidFirefox => "android-firefox",
            Self::ChromeOs => "chromebook",
            Self::Windows => "windows",
            Self::Mac => "mac",
            Self::Linux => "linux",
        }
    }

    /// The text that says what people call it.
    pub(super) fn label_id(self) -> &'static str {
        match self {
            Self::Apple => "device-apple",
            Self::Android => "device-android",
            Self::AndroidFirefox => "device-android-firefox",
            Self::ChromeOs => "device-chromebook",
            Self::Windows => "device-windows",
            Self::Mac => "device-mac",
            Self::Linux => "device-linux",
        }
    }

    pub(super) fn from_slug(slug: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|device| device.slug() == slug)
    }

    /// The kind a browser says it runs on. An iPad calls itself a Mac; its page notices the fingers.
    pub(super) fn of(user_agent: &str) -> Self {
        let has = |word| user_agent.contains(word);
        match () {
            () if has("iPhone") || has("iPad") || has("iPod") => Self::Apple,
            () if has("Android") && has("Firefox/") => Self::AndroidFirefox,
            () if has("Android") => Self::Android,
            () if has("CrOS") => Self::ChromeOs,
            () if has("Windows") => Self::Windows,
            () if has("Macintosh") => Self::Mac,
            () => Self::Linux,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn browsers_say_what_they_run_on() {
        // The forms their makers publish; version numbers from memory.
        for (user_agent, expected) in [
            (
                "Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) Version/18.5 \
                 Mobile/15E148 Safari/604.1",
                Device::Apple,
            ),
            (
                "Mozilla/5.0 (iPad; CPU OS 17_7 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) CriOS/130.0",
                Device::Apple,
            ),
            (
                "Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/130.0.0.0 Mobile Safari/537.36",
                Device::Android,
            ),
            ("Mozilla/5.0 (Android 14; Mobile; rv:132.0) Gecko/132.0 Firefox/132.0", Device::AndroidFirefox),
            (
                "Mozilla/5.0 (X11; CrOS x86_64 14541.0.0) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/130.0.0.0",
                Device::ChromeOs,
            ),
            (
                "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 Chrome/130.0.0.0 Edg/130.0",
                Device::Windows,
            ),
            (
                "Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) AppleWebKit/605.1.15 Version/18.5 Safari/605.1.15",
                Device::Mac,
            ),
            ("Mozilla/5.0 (X11; Linux x86_64; rv:128.0) Gecko/20100101 Firefox/128.0", Device::Linux),
            ("", Device::Linux),
        ] {
            assert_eq!(Device::of(user_agent), expected, "{user_agent}");
        }
    }

    #[test]
    fn each_kind_is_found_by_its_own_short_name() {
        for device in Device::ALL {
            assert_eq!(Device::from_slug(device.slug()), Some(device));
        }
        assert_eq!(Device::from_slug("telex"), None);
    }
}
