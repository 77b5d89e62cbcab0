//! Bytes that choose what happens, so that a change of one byte changes one event. Taken in by path where targets stand; it must not
//! know what happens.

/// Bytes as choices; nought when there are none left.
pub(super) struct Choices<'a>(pub(super) &'a [u8]);

impl Choices<'_> {
    pub(super) fn next(&mut self) -> usize {
        let Some((&first, rest)) = self.0.split_first() else { return 0 };
        self.0 = rest;
        usize::from(first)
    }

    pub(super) fn of<T: Copy>(&mut self, all: &[T]) -> T {
        all[self.next() % all.len()]
    }
}
