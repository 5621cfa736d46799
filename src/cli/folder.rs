//! A folder of results: whole or not at all, and never over one this program did not make.
//!
//! Everything is written beside the target under another name, then the two are exchanged. A marker file lists what was written;
//! a folder without it, or with anything else inside, is left alone. A lock keeps two runs off one folder;
//! the system lets go of it if a run is ended half-way.

use super::Failure;
use std::fs::{self, File};
use std::path::{Path, PathBuf};

/// Lists, one to a line, what this program put into the folder.
const MARKER: &str = ".spadework";

/// Writes `files` into `target`, to be replaced by the next run.
pub(crate) fn write(target: &Path, files: &[(&str, Vec<u8>)]) -> Result<(), Failure> {
    let list: String = files.iter().map(|(file, _)| format!("{file}\n")).collect();
    let mut all: Vec<(&str, &[u8])> = files.iter().map(|(file, bytes)| (*file, bytes.as_slice())).collect();
    all.push((MARKER, list.as_bytes()));
    exchange(target, &all)
}

fn exchange(target: &Path, files: &[(&str, &[u8])]) -> Result<(), Failure> {
    let name =
        target.file_name().ok_or_else(|| Failure::Usage(format!("`{}` names no folder to write", target.display())))?;
    let parent = match target.parent() {
        Some(p) if !p.as_os_str().is_empty() => p.to_path_buf(),
        _ => PathBuf::from("."),
    };
    let beside = |what: &str| parent.join(format!(".{}.spadework-{what}", name.to_string_lossy()));
    if !parent.is_dir() {
        let expected = format!("a folder `{}` to write into", parent.display());
        return Err(refused(target, "no such folder above it", &expected, "make that folder, or give another --out"));
    }
    let lock_path = beside("lock");
    let lock = File::create(&lock_path).map_err(|e| failed(&lock_path, &e))?;
    if lock.try_lock().is_err() {
        return Err(refused(target, "another run is writing it", "one run at a time", "wait for the other run to end"));
    }
    let _unlocked = Swept(lock_path);
    is_ours(target)?;
    let fresh = beside("new");
    let old = beside("old");
    for left in [&fresh, &old] {
        // Left by a run that was ended half-way; the lock says nobody is at it.
        if left.exists() {
            fs::remove_dir_all(left).map_err(|e| failed(left, &e))?;
        }
    }
    let swept = Swept(fresh.clone());
    fs::create_dir(&fresh).map_err(|e| failed(&fresh, &e))?;
    for (file, bytes) in files {
        fs::write(fresh.join(file), bytes).map_err(|e| failed(&fresh.join(file), &e))?;
    }
    let replaces = target.exists();
    if replaces {
        fs::rename(target, &old).map_err(|e| failed(target, &e))?;
    }
    if let Err(e) = fs::rename(&fresh, target) {
        if replaces {
            let _ = fs::rename(&old, target);
        }
        return Err(failed(target, &e));
    }
    drop(swept);
    if replaces {
        fs::remove_dir_all(&old).map_err(|e| failed(&old, &e))?;
    }
    Ok(())
}

/// Writes `files` into a folder that is not there yet: what a person goes on to edit is never replaced.
pub(crate) fn write_once(target: &Path, files: &[(&str, Vec<u8>)]) -> Result<(), Failure> {
    if fs::symlink_metadata(target).is_ok() {
        let help = "give another folder, or move that one away";
        return Err(refused(target, "something of that name", "a name that is free", help));
    }
    // Without the marker: no later run may take the folder for its own.
    let all: Vec<(&str, &[u8])> = files.iter().map(|(file, bytes)| (*file, bytes.as_slice())).collect();
    exchange(target, &all)
}

/// Removes a file or folder when it goes out of use.
struct Swept(PathBuf);

impl Drop for Swept {
    fn drop(&mut self) {
        let _ = if self.0.is_dir() { fs::remove_dir_all(&self.0) } else { fs::remove_file(&self.0) };
    }
}

/// Whether a folder may be replaced: it is not there, or it holds just what its marker lists.
fn is_ours(target: &Path) -> Result<(), Failure> {
    // A link is somebody's own arrangement, even one to nowhere.
    let Ok(about) = fs::symlink_metadata(target) else { return Ok(()) };
    if !about.is_dir() {
        let help = "move it away, or give another --out";
        return Err(refused(target, "something that is no folder", "a folder, or nothing", help));
    }
    let Ok(list) = fs::read_to_string(target.join(MARKER)) else {
        let help = "give another --out; this program replaces only folders it made itself";
        return Err(refused(target, "a folder this program did not make", "a new folder", help));
    };
    let known: Vec<&str> = list.lines().chain([MARKER]).collect();
    let mut foreign: Vec<String> = fs::read_dir(target)
        .map_err(|e| failed(target, &e))?
        .filter_map(|entry| Some(entry.ok()?.file_name().to_string_lossy().into_owned()))
        .filter(|name| !known.contains(&name.as_str()))
        .collect();
    foreign.sort();
    if foreign.is_empty() {
        return Ok(());
    }
    let found = format!("files this program did not write: {}", foreign.join(", "));
    Err(refused(target, &found, "only its own files in a folder it replaces", "move them out, or give another --out"))
}

fn refused(target: &Path, found: &str, expected: &str, help: &str) -> Failure {
    Failure::Refused(format!("error: {}: found {found}; expected {expected}\n  help: {help}", target.display()))
}

fn failed(path: &Path, e: &std::io::Error) -> Failure {
    Failure::Refused(format!(
        "error: cannot write {}: {e}\n  help: check that there is room and that you may write there; nothing was changed",
        path.display()
    ))
}

/// Writes files that are not there yet, each whole or not at all; none if one of them cannot be.
pub(crate) fn write_new(files: &[(impl AsRef<Path>, impl AsRef<[u8]>)]) -> Result<(), Failure> {
    for path in files.iter().map(|(path, _)| path.as_ref()) {
        if fs::symlink_metadata(path).is_ok() {
            let help = "give another name, or move away what is there";
            return Err(refused(path, "something of that name", "a name that is free", help));
        }
    }
    // All are written beside their names before the first takes its own, so a full disk or a missing folder leaves none.
    let mut fresh = Vec::new();
    for (path, bytes) in files {
        let path = path.as_ref();
        let mut beside = path.as_os_str().to_owned();
        beside.push(".spadework-new");
        fresh.push(Swept(PathBuf::from(beside)));
        fs::write(&fresh[fresh.len() - 1].0, bytes).map_err(|e| failed(path, &e))?;
    }
    for ((path, _), beside) in files.iter().zip(&fresh) {
        fs::rename(&beside.0, path).map_err(|e| failed(path.as_ref(), &e))?;
    }
    Ok(())
}
