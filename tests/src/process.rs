//! The program itself, as a process that can be killed. It must know nothing of what is played in it.

use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitCode, Stdio};
use windrow::Parser;
use windrow::config::{Cli, Command as Wanted};

/// The variable that gives a server a key for programs.
pub const KEY: &str = "WINDROW_TEST_KEY";

/// A server in a process of its own, with a key for programs.
#[derive(Debug)]
pub struct Process {
    child: Child,
    /// Where its pages are, without a path.
    pub http_addr: String,
    /// Opens the conductor's page.
    pub conductor_link: String,
    /// Of its room.
    pub code: String,
}

impl Drop for Process {
    fn drop(&mut self) {
        self.kill();
    }
}

impl Process {
    /// Starts `windrow serve` on free ports; `program` is the one with the key ([`beside_this_one`]).
    ///
    /// # Panics
    /// When it does not start: nothing can go on then.
    #[must_use]
    pub fn serve(program: &Path, data_dir: &Path) -> Self {
        let addresses = ["--http", "127.0.0.1:0", "--https", "127.0.0.1:0"];
        Self::start(Command::new(program).arg("serve").args(addresses), data_dir)
    }

    /// Starts it through a command that has all but the directory of the records, and reads from what it prints where it is.
    ///
    /// # Panics
    /// As [`Process::serve`].
    #[must_use]
    pub fn start(command: &mut Command, data_dir: &Path) -> Self {
        if !command.get_envs().any(|(name, _)| name == KEY) {
            command.env(KEY, windrow::new_key());
        }
        let command = command.arg("--data").arg(data_dir).stdout(Stdio::piped());
        let mut child = command.spawn().expect("the program starts");
        let stdout = child.stdout.take().expect("it is piped");
        let mut lines = BufReader::new(stdout).lines().map(|line| line.expect("it prints text"));
        let mut line_with =
            |part: &str| lines.find(|l| l.contains(part)).unwrap_or_else(|| panic!("no line with {part}"));
        let conductor_link = line_with("/conduct?key=").trim().to_owned();
        let http_addr =
            conductor_link.trim_start_matches("http://").split('/').next().unwrap_or_default().to_owned();
        let code = line_with("/join/").rsplit('/').next().unwrap_or_default().to_owned();
        line_with("Ctrl-C");
        Self { child, http_addr, conductor_link, code }
    }

    /// The key of its conductor.
    ///
    /// # Panics
    /// Never: the link holds one.
    #[must_use]
    pub fn key(&self) -> &str {
        self.conductor_link.rsplit('=').next().expect("a link has a key")
    }

    /// Its number on this computer.
    #[must_use]
    pub fn id(&self) -> u32 {
        self.child.id()
    }

    /// Ends it without warning: on Unix this is SIGKILL, on Windows TerminateProcess; nothing of the program runs any more.
    pub fn kill(&mut self) {
        // It may be gone already.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// The program with a key, where cargo puts it beside the programs of this package.
///
/// # Panics
/// When this program cannot tell where it is.
#[must_use]
pub fn beside_this_one() -> PathBuf {
    let own = std::env::current_exe().expect("a program knows where it is");
    own.with_file_name(format!("windrow_under_test{}", std::env::consts::EXE_SUFFIX))
}

/// Is the `windrow` program, except that `WINDROW_TEST_KEY` gives `serve` a key for programs, which the real one never has.
#[must_use]
pub fn be_the_program() -> ExitCode {
    let key = std::env::var("WINDROW_TEST_KEY").ok();
    match (key, Cli::try_parse()) {
        (Some(key), Ok(Cli { command: Wanted::Serve(options), log_format })) => {
            windrow::log::to_stderr(log_format);
            match windrow::commands::serve::run_with_key(options, Some(key)) {
                Ok(code) => code,
                Err(error) => {
                    eprintln!("windrow: {error:#}");
                    ExitCode::FAILURE
                }
            }
        }
        _ => windrow::run_program(),
    }
}
