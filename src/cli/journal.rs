//! Unit files on disk: locked, appended to line by line, each line on disk before the next.
//!
//! Whoever writes holds the file's lock for one change only, so that two benches can write into
//! one unit's record at once. A line that was only half written when the power went is cut off
//! before the next is appended, and kept beside as `NNN.yaml.torn`.

use crate::design::Design;
use crate::records::{self, log};
use std::fs::{self, File, OpenOptions};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

/// The record of one unit.
#[derive(Debug, Clone)]
pub struct Journal {
    path: PathBuf,
}

/// What the head of a new record says.
#[derive(Debug, Clone, Default)]
pub struct Head {
    /// Serial number.
    pub serial: String,
    /// Title of the design.
    pub design: String,
    /// Its revision.
    pub revision: Option<String>,
    /// Who built the unit.
    pub builder: Option<String>,
}

/// Where a unit's record lies, beside its design. `None` for a serial that is no plain name.
#[must_use]
pub fn unit_path(design: &str, serial: &str) -> Option<PathBuf> {
    let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
    let good = !serial.is_empty() && !serial.starts_with('.') && serial.chars().all(plain);
    let folder = Path::new(design).parent().unwrap_or(Path::new(""));
    good.then(|| folder.join("units").join(format!("{serial}.yaml")))
}

fn say(path: &Path, error: &std::io::Error) -> String {
    format!("cannot write {}: {error}", path.display())
}

impl Journal {
    /// Opens a record, making it where there is none and bringing an older version forward; the
    /// original is kept beside. Returns it with what was done, ready to print.
    ///
    /// # Errors
    /// Why not, ready to print.
    pub fn open(path: &Path, head: &Head, design: &Design) -> Result<(Self, Vec<String>), String> {
        let journal = Self {
            path: path.to_owned(),
        };
        let mut said = Vec::new();
        if !path.exists() {
            journal.create(head)?;
            said.push(format!("New record: {}", path.display()));
        }
        let (mut file, bytes) = journal.locked()?;
        if records::needs_migration(&bytes) {
            // Somebody else may have migrated while this waited for the lock of the old file.
            let now = fs::read(path).map_err(|error| say(path, &error))?;
            if records::needs_migration(&now) {
                said.push(journal.migrate(&now, design)?);
            }
            return Ok((journal, said));
        }
        said.extend(journal.cut_torn(&mut file, &bytes)?);
        Ok((journal, said))
    }

    fn create(&self, head: &Head) -> Result<(), String> {
        let mut text = format!(
            "preplug: {}\nserial: {}\ndesign: {}\n",
            log::VERSION,
            serde_json::Value::from(head.serial.as_str()),
            log::scalar(&head.design)
        );
        if let Some(revision) = &head.revision {
            text.push_str(&format!("revision: {}\n", log::scalar(revision)));
        }
        if let Some(builder) = &head.builder {
            text.push_str(&format!("builder: {}\n", log::scalar(builder)));
        }
        text.push_str(
            "\n# Written line by line as it happens; nothing below is ever changed.\nlog:\n",
        );
        match super::files::write_new(&self.path, text.as_bytes()) {
            // Somebody else made it in the meantime.
            Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => Ok(()),
            made => made.map_err(|error| say(&self.path, &error)),
        }
    }

    fn migrate(&self, bytes: &[u8], design: &Design) -> Result<String, String> {
        let shown = self.path.to_string_lossy();
        let new = records::migrate(&shown, bytes, design)?;
        let kept = self.path.with_extension("yaml.unit-1");
        let write = |path: &Path, bytes: &[u8]| {
            super::files::write_whole(path, bytes).map_err(|error| say(path, &error))
        };
        if kept.exists() && fs::read(&kept).ok().as_deref() != Some(bytes) {
            return Err(format!(
                "{shown} must be brought to {}, and {} is in the way",
                log::VERSION,
                kept.display()
            ));
        }
        write(&kept, bytes)?;
        write(&self.path, new.as_bytes())?;
        Ok(format!(
            "{shown} was brought to {}; the original is kept as {}",
            log::VERSION,
            kept.display()
        ))
    }

    /// The file with its lock, and what it holds. The lock goes with the file.
    fn locked(&self) -> Result<(File, Vec<u8>), String> {
        let open = || -> std::io::Result<(File, Vec<u8>)> {
            let mut file = OpenOptions::new().read(true).write(true).open(&self.path)?;
            file.lock()?;
            let mut bytes = Vec::new();
            file.read_to_end(&mut bytes)?;
            Ok((file, bytes))
        };
        open().map_err(|error| say(&self.path, &error))
    }

    /// The file with its lock and its log, after a torn end has been cut off. A file that was
    /// replaced by a newer version while this waited for its lock is opened again.
    fn ready(&self) -> Result<(File, Vec<u8>, log::Log), String> {
        for _ in 0..10 {
            let (mut file, bytes) = self.locked()?;
            self.cut_torn(&mut file, &bytes)?;
            if let Some(log) = log::scan(&bytes) {
                return Ok((file, bytes, log));
            }
        }
        Err(format!("{} does not end in a log", self.path.display()))
    }

    fn cut_torn(&self, file: &mut File, bytes: &[u8]) -> Result<Option<String>, String> {
        let Some(log) = log::scan(bytes) else {
            return Ok(None);
        };
        let torn = &bytes[log.good..];
        if torn.is_empty() {
            return Ok(None);
        }
        let kept = self.path.with_extension("yaml.torn");
        let cut = || -> std::io::Result<()> {
            let mut aside = OpenOptions::new().create(true).append(true).open(&kept)?;
            aside.write_all(torn)?;
            aside.write_all(b"\n")?;
            aside.sync_all()?;
            file.set_len(log.good as u64)?;
            file.sync_all()
        };
        cut().map_err(|error| say(&self.path, &error))?;
        Ok(Some(format!(
            "{}: the last {} bytes were only half written; they were cut off and kept as {}. \
             Everything before them is whole.",
            self.path.display(),
            torn.len(),
            kept.display()
        )))
    }

    /// Appends one entry, made from the number of the next free session. It is on disk when this
    /// returns.
    ///
    /// # Errors
    /// Why not, ready to print.
    pub fn append<T>(&self, make: impl FnOnce(u32) -> (log::Entry, T)) -> Result<T, String> {
        let (mut file, bytes, log) = self.ready()?;
        let text = String::from_utf8_lossy(&bytes[..log.good]);
        let (entry, answer) = make(log::next_session(&text));
        let (line, _) = log::line(&entry, &log.last_mark);
        let mut write = || -> std::io::Result<()> {
            file.seek(SeekFrom::Start(log.good as u64))?;
            file.write_all(line.as_bytes())?;
            file.sync_all()
        };
        write().map_err(|error| say(&self.path, &error))?;
        Ok(answer)
    }

    /// Where it lies, as shown.
    #[must_use]
    pub fn path(&self) -> String {
        self.path.to_string_lossy().into_owned()
    }
}
