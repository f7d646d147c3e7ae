//! What may need leave.

use groundwright_site::{DISTURBED, permit_flags};

use crate::small::{project, with, yard};

fn flagged(project: &groundwright_plan::Project) -> Vec<(&'static str, Vec<String>)> {
    permit_flags(project, &yard(project).plot)
        .into_iter()
        .map(|flag| (flag.id, flag.elements.iter().map(|element| element.id.to_string()).collect()))
        .collect()
}

#[test]
fn digging_is_always_asked_about_and_felling_names_its_trees() {
    assert_eq!(flagged(&project()), [("digging", vec![]), ("felling", vec!["cherry".to_owned()])]);
}

/// A trunk that is assumed to be thin may be thick: it is asked about. One that was measured is not.
#[test]
fn a_trunk_counts_as_thick_as_it_may_be() {
    let plum = |diameter: &str| {
        let tree = format!(
            "[[tree]]\nid = \"plum\"\nplant = \"Prunus sp.\"\nat = [1, 13]\naction = \"move\"\ndiameter = {diameter}\n"
        );
        flagged(&with(&tree, ""))[1].1.contains(&"plum".to_owned())
    };
    assert!(plum("\"12 cm ± 5 cm\""));
    assert!(!plum("{ value = \"12 cm\", standing = \"measured\" }"));
    assert!(plum("{ value = \"6 in\", standing = \"measured\" }"));
}

#[test]
fn work_where_others_have_rights_is_asked_about() {
    let paper = "[[paper_line]]\nid = \"drain-strip\"\nkind = \"easement\"\noutline = [[0, 0], [3, 0], [3, 24], [0, 24]]\n\
        [[paper_line]]\nid = \"view\"\nkind = \"sight triangle\"\noutline = [[30, 0], [22, 0], [30, 8]]\n";
    let flags = flagged(&with(paper, ""));
    let of = |id| flags.iter().find(|(flag, _)| *flag == id).map(|(_, elements)| elements.clone());
    assert_eq!(of("easement"), Some(vec!["west".to_owned(), "north".to_owned()]));
    assert_eq!(of("sight-triangle"), Some(vec!["east".to_owned()]));
    assert_eq!(of("right-of-way"), None);
}

#[test]
fn a_bed_beyond_the_property_line_is_asked_about() {
    let flags =
        flagged(&with("", "[[bed]]\nid = \"verge\"\noutline = [[22, -2], [28, -2], [28, 0.5], [22, 0.5]]\n"));
    assert!(flags.contains(&("beyond-the-line", vec!["verge".to_owned()])), "{flags:?}");
}

/// One acre is 43,560 square feet of 0.3048 m by definition.
#[test]
fn an_acre_is_an_acre() {
    assert!((DISTURBED - 43_560.0 * 0.3048 * 0.3048).abs() < 1e-6);
}
