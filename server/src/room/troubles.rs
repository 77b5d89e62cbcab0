//! What the conductor reads while the records cannot be written. It must know neither rules nor SQL.

use crate::store::Trouble;
use windrow_protocol::phrase::Phrase;

/// What is wrong, what goes on all the same, and what to do.
pub(super) fn words_of(trouble: Trouble) -> Phrase {
    let id = match trouble {
        Trouble::Full => "trouble-records-full",
        Trouble::ReadOnly => "trouble-records-read-only",
        Trouble::Locked => "trouble-records-locked",
        Trouble::Missing => "trouble-records-missing",
        Trouble::Replaced => "trouble-records-replaced",
        Trouble::NoHandles => "trouble-records-handles",
        Trouble::Disk => "trouble-records-disk",
        Trouble::Damaged => "trouble-records-damaged",
        Trouble::Other => "trouble-records-other",
    };
    Phrase::of(id).with("devices", Phrase::of("trouble-devices-keep"))
}
