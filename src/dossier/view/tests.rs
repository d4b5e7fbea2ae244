use super::common_folder;

#[test]
fn attachments_are_named_from_their_common_folder() {
    assert_eq!(common_folder(&["a/b/c.yaml", "a/d/e.yaml"]), 2);
    assert_eq!(common_folder(&["c.yaml"]), 0);
    assert_eq!(common_folder(&["/x/c.yaml", "/x/y/c.yaml"]), 3);
}
