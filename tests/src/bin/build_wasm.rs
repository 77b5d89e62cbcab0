//! Builds the browser's wasm files and writes them, each with the list of what it was built from, into `web/static`. Run it through
//! `web/build-wasm` (`web\build-wasm.cmd` on Windows). It needs a compiler with the target wasm32-unknown-unknown:
//! rustup's, once the target is added, or any other that the variable WINDROW_WASM_RUSTC names.

#![forbid(unsafe_code)]

use std::env;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};
use windrow_tests::wasm_sources::{BUILT, Built, list, project};

const TARGET: &str = "wasm32-unknown-unknown";
const LINKER_VARIABLE: &str = "CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER";

fn main() -> ExitCode {
    match build(&project()) {
        Ok(said) => {
            println!("{said}");
            ExitCode::SUCCESS
        }
        Err(said) => {
            eprintln!("build-wasm: {said}");
            ExitCode::FAILURE
        }
    }
}

fn build(project: &Path) -> Result<String, String> {
    Ok(BUILT.iter().map(|built| build_one(project, built)).collect::<Result<Vec<_>, _>>()?.join("\n"))
}

fn build_one(project: &Path, built: &Built) -> Result<String, String> {
    let Built { wasm, sources, package, .. } = built;
    // A directory of its own: another compiler than the project's may be at work here.
    let target_dir = project.join("target").join("wasm-build");
    let mut cargo = Command::new(env::var_os("CARGO").unwrap_or("cargo".into()));
    cargo.current_dir(project);
    cargo.args(["build", "--locked", "--profile", "wasm", "--target", TARGET, "-p", package, "--lib"]);
    cargo.arg("--target-dir").arg(&target_dir);
    cargo.env("CARGO_ENCODED_RUSTFLAGS", remap_flags(project));
    match env::var_os("WINDROW_WASM_RUSTC") {
        Some(rustc) => {
            cargo.env("RUSTC", rustc);
            if let (None, Some(linker)) = (env::var_os(LINKER_VARIABLE), rust_lld()) {
                cargo.env(LINKER_VARIABLE, linker);
            }
        }
        None if !has_target() => {
            return Err(format!(
                "this machine's compiler cannot build for {TARGET}. Run `rustup target add {TARGET}`, or set \
                 WINDROW_WASM_RUSTC to a compiler that can (on Debian, `bash .ci/wasm-toolchain DIR` makes one)"
            ));
        }
        None => {}
    }
    let status = cargo.status().map_err(|e| format!("cargo cannot be started: {e}"))?;
    if !status.success() {
        return Err(format!("cargo could not build the wasm ({status}); what it says stands above"));
    }
    let file = target_dir.join(TARGET).join("wasm").join(format!("{}.wasm", package.replace('-', "_")));
    let copy = project.join(wasm);
    let static_dir = copy.parent().expect("the wasm lies in a directory of the project");
    std::fs::create_dir_all(static_dir)
        .map_err(|e| format!("{} cannot be made: {e}", static_dir.display()))?;
    let bytes = std::fs::read(&file).map_err(|e| format!("{} cannot be read: {e}", file.display()))?;
    std::fs::write(&copy, &bytes).map_err(|e| format!("{wasm} cannot be written: {e}"))?;
    std::fs::write(project.join(sources), list(project, built)?)
        .map_err(|e| format!("{sources} cannot be written: {e}"))?;
    Ok(format!("{wasm} has {} bytes", bytes.len()))
}

/// Keeps the paths of the machine it is built on, and the registry's name, out of the wasm's panic messages, so that the same sources give the
/// same bytes anywhere.
fn remap_flags(project: &Path) -> String {
    let home = env::var_os("HOME").or_else(|| env::var_os("USERPROFILE")).map(PathBuf::from);
    let cargo_home = env::var_os("CARGO_HOME").map(PathBuf::from).or(home.map(|home| home.join(".cargo")));
    let mut flags = vec![format!("--remap-path-prefix={}=windrow", project.display())];
    if let Some(cargo_home) = cargo_home {
        flags.push(format!("--remap-path-prefix={}=cargo", cargo_home.display()));
        // Crates lie in a directory named after the registry they came from. The last prefix that fits is the one taken.
        let registries =
            std::fs::read_dir(cargo_home.join("registry").join("src")).into_iter().flatten().flatten();
        flags.extend(registries.map(|dir| format!("--remap-path-prefix={}=crates", dir.path().display())));
    }
    // The separator cargo defines for this variable.
    flags.join("\u{1f}")
}

/// Whether rustc has a standard library for the target.
fn has_target() -> bool {
    ask_rustc(&["--print", "target-libdir", "--target", TARGET]).is_some_and(|dir| Path::new(&dir).is_dir())
}

/// The linker for wasm that comes with rustup's own compiler; a distribution's compiler often comes without.
fn rust_lld() -> Option<PathBuf> {
    let libraries = PathBuf::from(ask_rustc(&["--print", "target-libdir"])?);
    let linker = libraries.parent()?.join("bin").join(format!("rust-lld{}", env::consts::EXE_SUFFIX));
    linker.is_file().then_some(linker)
}

fn ask_rustc(arguments: &[&str]) -> Option<String> {
    let output = Command::new("rustc").args(arguments).output().ok()?;
    output.status.success().then(|| String::from_utf8_lossy(&output.stdout).trim().to_owned())
}
