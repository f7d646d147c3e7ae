//! `groundwright import`: nothing is changed without --write, and nothing that would not read is written.

use crate::support::{DESIGN, PROPERTY, project, run, stderr, stdout};

const POINTS: &str = "point,northing,easting,elevation,code\n101,10,5,100.2,SPOT\n102,20,5,99.8,SPOT\n103,20,15,99.9,SPOT\nbad,x,y\n";

#[test]
fn points_are_listed_then_written() {
    let folder = tempfile::tempdir().unwrap();
    project(folder.path(), PROPERTY, DESIGN);
    let file = folder.path().join("shots.csv");
    std::fs::write(&file, POINTS).unwrap();
    let (yard, file) = (folder.path().to_str().unwrap(), file.to_str().unwrap());
    let unfitted = run(&["import", yard, file]);
    assert_eq!(unfitted.status.code(), Some(1));
    assert!(stderr(&unfitted).contains("two are needed to fit it"), "{}", stderr(&unfitted));
    let arguments = ["import", yard, file, "--as-drawn", "--layer", "SPOT=level", "--raise", "-90 ft"];
    let listed = stdout(&run(&arguments));
    assert!(
        listed.contains("line 5: point bad: left, its second and third cells are not two numbers"),
        "{listed}"
    );
    assert!(listed.contains("point 101 (SPOT): level `l-101`"), "{listed}");
    assert!(listed.contains("Nothing is written yet; with --write 3 elements"), "{listed}");
    let path = folder.path().join("property.toml");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), PROPERTY);
    let written = run(&[&arguments[..], &["--write"]].concat());
    assert!(written.status.success(), "{}", stderr(&written));
    let text = std::fs::read_to_string(&path).unwrap();
    assert!(text.starts_with(PROPERTY), "what was there stays");
    assert!(text.contains("level = \"10.200 ft\""), "{text}");
    assert!(run(&["check", yard]).status.success());
}

#[test]
fn what_cannot_be_read_is_said() {
    let folder = tempfile::tempdir().unwrap();
    project(folder.path(), PROPERTY, DESIGN);
    let yard = folder.path().to_str().unwrap();
    let file = folder.path().join("a.dwf");
    std::fs::write(&file, "nothing").unwrap();
    let said = stderr(&run(&["import", yard, file.to_str().unwrap()]));
    assert!(said.contains("`.dwf` is no format that can be imported"), "{said}");
    let file = folder.path().join("a.dxf");
    std::fs::write(&file, "nothing").unwrap();
    let said = stderr(&run(&["import", yard, file.to_str().unwrap(), "--layer", "A=moon"]));
    assert!(said.contains("--layer A: `moon` is no kind of element"), "{said}");
    let said = stderr(&run(&["import", yard, file.to_str().unwrap(), "--layer", "A"]));
    assert!(said.contains("expected two words with `=` between"), "{said}");
}
