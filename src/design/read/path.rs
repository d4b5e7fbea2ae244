//! Paths of files named in a design.

/// The path of a file named in another file: relative to it, with `.` and `..` worked out.
///
/// # Errors
/// Why the name is not one that another person's copy of the folder would have.
pub(super) fn beside(base: &str, named: &str) -> Result<String, &'static str> {
    if named.contains('\\') {
        return Err("write `/` between folders");
    }
    if named.starts_with('/') || named.starts_with('~') || named.contains(':') {
        return Err("write the path relative to this file, so that the folder can be handed on");
    }
    let folder = base
        .rsplit_once(['/', '\\'])
        .map_or("", |(folder, _)| folder);
    let absolute = base.starts_with('/');
    let mut pieces: Vec<&str> = folder
        .split('/')
        .filter(|p| !p.is_empty() && *p != ".")
        .collect();
    for piece in named.split('/').filter(|p| !p.is_empty() && *p != ".") {
        if piece == ".." && pieces.last().is_some_and(|last| *last != "..") {
            pieces.pop();
        } else if piece == ".." && absolute && pieces.is_empty() {
            return Err("this leads above the top folder");
        } else {
            pieces.push(piece);
        }
    }
    let joined = pieces.join("/");
    Ok(if absolute {
        format!("/{joined}")
    } else {
        joined
    })
}

#[cfg(test)]
mod tests {
    use super::beside;

    #[test]
    fn paths_are_worked_out_beside_the_file() {
        let drone = "../instruments/drone.yaml";
        for (base, named, found) in [
            (
                "reviews/tide/design.yaml",
                drone,
                "reviews/instruments/drone.yaml",
            ),
            ("design.yaml", drone, "../instruments/drone.yaml"),
            ("../tide/design.yaml", drone, "../instruments/drone.yaml"),
            ("/r/tide/design.yaml", drone, "/r/instruments/drone.yaml"),
            ("./a/design.yaml", "./b.yaml", "a/b.yaml"),
        ] {
            assert_eq!(beside(base, named).as_deref(), Ok(found));
        }
        for named in ["/etc/x", "C:\\x", "c:/x", "~/x", "a\\b"] {
            assert!(beside("design.yaml", named).is_err(), "{named}");
        }
    }
}
