//! `preplug unpack`: the design files out of a dossier.

use std::path::{Component, Path, PathBuf};

use super::{BAD_INPUT, COULD_NOT_FINISH, OPEN, files, print};
use crate::dossier::block::Attachment;
use crate::dossier::pdf;

/// Runs the command. Nothing is written unless every file can be.
pub(super) fn run(dossier: &str, out: &Path) -> u8 {
    let refuse = |why: String| {
        anstream::eprintln!("cannot unpack {dossier}: {why}");
        BAD_INPUT
    };
    let bytes = match files::load(dossier) {
        Ok(bytes) => bytes,
        Err(why) => return refuse(why),
    };
    let found = match pdf::attachments(&bytes) {
        Ok(found) if found.is_empty() => return refuse("no files ride inside it".to_owned()),
        Ok(found) => found,
        Err(error) => {
            return refuse(format!(
                "it is no dossier that can be read ({error}); name the PDF that `preplug review` wrote"
            ));
        }
    };
    let targets = match targets(&found, out) {
        Ok(targets) => targets,
        Err(why) => return refuse(why),
    };
    for (file, target) in found.iter().zip(&targets) {
        if let Err(error) = files::write_new(target, &file.bytes) {
            anstream::eprintln!("cannot write {}: {error}", target.display());
            return COULD_NOT_FINISH;
        }
    }
    let list: Vec<String> = found
        .iter()
        .map(|file| format!("  {}: {}", file.name, file.description))
        .collect();
    print(&format!(
        "Unpacked into {}:\n{}\n",
        out.display(),
        list.join("\n")
    ));
    OPEN
}

/// Where each file goes; all of them inside `out`, none over anything that is there.
fn targets(found: &[Attachment], out: &Path) -> Result<Vec<PathBuf>, String> {
    let mut targets: Vec<PathBuf> = Vec::new();
    for file in found {
        let name = inside(&file.name)
            .ok_or_else(|| format!("the file {:?} would land outside the folder", file.name))?;
        let target = out.join(&name);
        let mut on_the_way = out.to_owned();
        for part in name.components() {
            on_the_way.push(part);
            match std::fs::symlink_metadata(&on_the_way) {
                Ok(there) if there.is_symlink() => {
                    let way = on_the_way.display();
                    return Err(format!("{way} leads elsewhere (a symbolic link)"));
                }
                Ok(_) if on_the_way == target => {
                    return Err(format!("{} is there already", target.display()));
                }
                Ok(there) if !there.is_dir() => {
                    return Err(format!("{} is no folder", on_the_way.display()));
                }
                _ => {}
            }
        }
        if targets.contains(&target) {
            return Err(format!("two files are named {:?}", file.name));
        }
        targets.push(target);
    }
    Ok(targets)
}

/// A name as a path that stays inside, on every system; none if it would not.
fn inside(name: &str) -> Option<PathBuf> {
    let odd =
        |c: char| c.is_control() || matches!(c, '\\' | ':' | '*' | '?' | '"' | '<' | '>' | '|');
    let path = Path::new(name);
    let plain = path
        .components()
        .all(|part| matches!(part, Component::Normal(_)));
    (!name.is_empty() && plain && !name.ends_with('/') && !name.contains(odd))
        .then(|| path.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(name: &str) -> Attachment {
        Attachment {
            name: name.to_owned(),
            description: String::new(),
            media_type: String::new(),
            bytes: Vec::new(),
        }
    }

    #[test]
    fn nothing_leaves_the_folder() {
        for name in [
            "../a",
            "/a",
            "a/../../b",
            "..\\a",
            "C:\\a",
            "C:a",
            "",
            ".",
            "a/",
            "a\nb",
            "./a/../b",
        ] {
            assert_eq!(inside(name), None, "{name:?}");
        }
        assert!(inside("tide-lever/units/001.yaml").is_some());
    }

    #[test]
    fn nothing_is_written_over_or_through() {
        let folder = tempfile::tempdir().unwrap();
        let out = folder.path();
        assert!(targets(&[file("a.yaml"), file("b/c.yaml")], out).is_ok());
        assert!(targets(&[file("a.yaml"), file("a.yaml")], out).is_err());
        std::fs::write(out.join("a.yaml"), "x").unwrap();
        assert!(targets(&[file("a.yaml")], out).is_err());
        assert!(targets(&[file("a.yaml/b")], out).is_err());
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink("/tmp", out.join("link")).unwrap();
            assert!(targets(&[file("link/b.yaml")], out).is_err());
        }
    }
}
