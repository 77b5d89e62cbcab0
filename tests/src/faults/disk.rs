//! A disk of a few megabytes, which can be full. Linux alone, and for whoever may mount.

use std::fs::{File, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Mounted until it is dropped.
#[derive(Debug)]
pub struct SmallDisk {
    path: PathBuf,
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        // Lazily: a server that was killed may not be gone to the last handle.
        let _ = Command::new("umount").arg("-l").arg(&self.path).stderr(Stdio::null()).status();
        let _ = std::fs::remove_dir(&self.path);
    }
}

impl SmallDisk {
    /// One of so many megabytes; none where that is not allowed.
    #[must_use]
    pub fn mount(megabytes: u32) -> Option<Self> {
        let path = crate::new_data_dir();
        std::fs::create_dir_all(&path).ok()?;
        let size = format!("size={megabytes}m");
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &size, "windrow-test"])
            .arg(&path)
            .stderr(Stdio::null())
            .status();
        if mounted.is_ok_and(|status| status.success()) {
            return Some(Self { path });
        }
        let _ = std::fs::remove_dir(&path);
        None
    }

    /// Where it is.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Writes until there is no room, not even for a page.
    ///
    /// # Panics
    /// When the disk has gone.
    pub fn fill(&self) {
        let mut file =
            OpenOptions::new().create(true).append(true).open(self.filler()).expect("a file on the disk");
        for size in [1 << 20, 4096, 512, 1] {
            let bytes = vec![1; size];
            while file.write_all(&bytes).is_ok() {}
        }
    }

    /// Room again.
    ///
    /// # Panics
    /// When the disk has gone.
    pub fn make_room(&self) {
        File::options().write(true).truncate(true).open(self.filler()).expect("it was filled before");
    }

    fn filler(&self) -> PathBuf {
        self.path.join("filler")
    }
}

/// A disk in a file, which its system can give up: then everything on it can only be read, whatever was open for writing.
#[derive(Debug)]
pub(super) struct ReadOnlyDisk {
    path: PathBuf,
    image: PathBuf,
}

impl Drop for ReadOnlyDisk {
    fn drop(&mut self) {
        let _ = quietly(Command::new("umount").arg("-l").arg(&self.path));
        let _ = std::fs::remove_dir(&self.path);
        let _ = std::fs::remove_file(&self.image);
    }
}

impl ReadOnlyDisk {
    /// None where that is not allowed.
    pub(super) fn mount() -> Option<Self> {
        let path = crate::new_data_dir();
        std::fs::create_dir_all(&path).ok()?;
        let disk = Self { image: path.with_extension("image"), path };
        File::create(&disk.image).and_then(|image| image.set_len(32 << 20)).ok()?;
        let made = quietly(Command::new("mkfs.ext4").arg("-q").arg(&disk.image));
        (made && disk.mount_again()).then_some(disk)
    }

    fn mount_again(&self) -> bool {
        quietly(Command::new("mount").args(["-o", "loop"]).arg(&self.image).arg(&self.path))
    }

    pub(super) fn path(&self) -> &Path {
        &self.path
    }

    /// As after errors of the disk.
    pub(super) fn give_up(&self) {
        quietly(Command::new("mount").args(["-o", "remount,abort"]).arg(&self.path));
        // The system notices at the next write.
        let _ = std::fs::write(self.path.join("noticed"), [0]);
    }

    /// Repairs and mounts it again; nobody may have it open.
    pub(super) fn repair(&self) -> bool {
        // A process that was killed may take a moment to let go.
        let gone = (0..50).any(|_| {
            std::thread::sleep(std::time::Duration::from_millis(100));
            quietly(Command::new("umount").arg(&self.path))
        });
        // It says with its code that it repaired something.
        let _ = quietly(Command::new("e2fsck").args(["-f", "-y"]).arg(&self.image));
        gone && self.mount_again()
    }
}

fn quietly(command: &mut Command) -> bool {
    let done = command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).status();
    done.is_ok_and(|status| status.success())
}
