//! Devices and networks that a page is measured on. Figures of networks are those of Chromium's own tools where they have a name there.

/// A device on a network. Latency is added to each request, as Chromium's tools do it; nothing else of a network is imitated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Profile {
    /// What it is called in figures.
    pub name: &'static str,
    /// Before a request is answered, ms.
    pub latency_ms: f64,
    /// Bytes a second that come in; -1 for no limit.
    pub down_bytes_per_s: f64,
    /// Bytes a second that go out; -1 for no limit.
    pub up_bytes_per_s: f64,
    /// How many times slower than this computer its processor is.
    pub slower: f64,
    /// Width and height in CSS px, and whether it is a phone.
    pub window: (u32, u32, bool),
}

const PHONE: (u32, u32, bool) = (390, 844, true);

impl Profile {
    /// The same with a laptop's window.
    pub fn on_a_laptop(self) -> Self {
        Self { window: (1366, 768, false), ..self }
    }
}

/// "Fast 4G" of Chromium's tools: 9 Mbit/s in and 1.5 Mbit/s out, each times 0.9, and 60 ms times 2.75 a request (from memory of
/// their sources); a processor four times slower, which Lighthouse takes for a mid-range phone (from memory).
pub const FAST_4G: Profile = Profile {
    name: "Fast 4G, 4x",
    latency_ms: 165.0,
    down_bytes_per_s: 9e6 / 8.0 * 0.9,
    up_bytes_per_s: 1.5e6 / 8.0 * 0.9,
    slower: 4.0,
    window: PHONE,
};

/// One of thirty phones that load the page at the same moment through one Wi-Fi. 40 Mbit/s in all and 30 ms are our own guess at
/// a busy 2.4 GHz channel (no source): 1.33 Mbit/s for each.
pub const ONE_OF_THIRTY: Profile = Profile {
    name: "one of thirty, 4x",
    latency_ms: 30.0,
    down_bytes_per_s: 40e6 / 8.0 / 30.0,
    up_bytes_per_s: 40e6 / 8.0 / 30.0,
    slower: 4.0,
    window: PHONE,
};

/// This computer itself, as a phone's window.
pub const UNTHROTTLED: Profile = Profile {
    name: "as it is",
    latency_ms: 0.0,
    down_bytes_per_s: -1.0,
    up_bytes_per_s: -1.0,
    slower: 1.0,
    window: PHONE,
};

/// All of them.
pub const ALL: [Profile; 3] = [UNTHROTTLED, FAST_4G, ONE_OF_THIRTY];
