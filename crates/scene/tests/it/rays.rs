//! Rays through whole scenes.

use groundwright_geometry::Point3;
use groundwright_handoff::{Body, CrownForm, Role, Solid};
use groundwright_plan::{ElementRef, Kind};
use groundwright_scene::{Bodies, Scene};
use proptest::prelude::*;

fn solid(role: Role, body: Body, transmittance: f64) -> Solid {
    let subject = ElementRef::new(Kind::Tree, &"oak".into());
    Solid { subject, ordinal: 0, role, body, material: String::new(), transmittance }
}

fn at(x: f64, y: f64, z: f64) -> Point3 {
    Point3::new(x, y, z)
}

fn block() -> Solid {
    let outline = vec![at(2.0, -1.0, 0.0), at(4.0, -1.0, 0.0), at(4.0, 1.0, 0.0), at(2.0, 1.0, 0.0)];
    solid(Role::Stands, Body::Prism { outline, height: 2.0 }, 0.0)
}

fn crown(x: f64, share: f64) -> Solid {
    let body =
        Body::Crown { form: CrownForm::Ellipsoid, centre: at(x, 0.0, 1.0), radius: 1.0, half_height: 1.0 };
    solid(Role::Grows, body, share)
}

#[test]
fn a_block_shades_and_buried_things_do_not() {
    let buried =
        solid(Role::Buried, Body::Cylinder { foot: at(-3.0, 0.0, -1.0), radius: 1.0, height: 4.0 }, 0.0);
    let (bodies, faults) = Bodies::of(&[block(), buried]);
    assert!(faults.is_empty() && bodies.crowns.is_empty());
    let scene = Scene::new(bodies);
    assert_eq!(scene.light(at(0.0, 0.0, 1.0), [1.0, 0.0, 0.0]), 0.0);
    assert_eq!(scene.light(at(0.0, 0.0, 1.0), [-1.0, 0.0, 0.0]), 1.0);
    assert_eq!(scene.light(at(0.0, 0.0, 2.1), [1.0, 0.0, 0.0]), 1.0);
    assert_eq!(Scene::new(Bodies::default()).light(at(0.0, 0.0, 0.0), [0.0, 0.0, 1.0]), 1.0);
}

/// Light behind two crowns is the product of what each lets through; a crown can be left out.
#[test]
fn crowns_multiply() {
    let scene = Scene::new(Bodies::of(&[crown(3.0, 0.3), crown(6.0, 0.5)]).0);
    // Through the middle of a ball of radius 1 the way is 2 m, its mean chord 4/3 m.
    let (near, far) = (0.3f64.powf(1.5), 0.5f64.powf(1.5));
    let light = scene.light(at(0.0, 0.0, 1.0), [1.0, 0.0, 0.0]);
    assert!((light - near * far).abs() < 1e-5, "{light}");
    let without = scene.light_beyond(at(0.0, 0.0, 1.0), [1.0, 0.0, 0.0], |i| i == 0);
    assert!((without - far).abs() < 1e-5);
    let opaque = Scene::new(Bodies::of(&[crown(3.0, 0.0)]).0);
    assert_eq!(opaque.light(at(0.0, 0.0, 1.0), [1.0, 0.0, 0.0]), 0.0);
}

#[test]
fn a_body_that_is_none_is_named() {
    let flat = solid(
        Role::Grows,
        Body::Crown { form: CrownForm::Cone, centre: at(0.0, 0.0, 0.0), radius: 0.0, half_height: 1.0 },
        0.2,
    );
    let (_, faults) = Bodies::of(&[flat]);
    assert!(faults[0].to_string().contains("radius"), "{}", faults[0]);
}

proptest! {
    /// One body more never makes it brighter.
    #[test]
    fn more_bodies_never_more_light(
        places in prop::collection::vec((-8.0..8.0f64, -8.0..8.0f64, 0.05..0.9f64), 1..20), height in 0.05..1.5f64, turn in 0.0..std::f64::consts::TAU,
    ) {
        let solids: Vec<Solid> = places.iter().map(|(x, y, share)| {
            let body = Body::Crown { form: CrownForm::Dome, centre: at(*x, *y, 1.0), radius: 1.2, half_height: 1.0 };
            solid(Role::Grows, body, *share)
        }).collect();
        let flat = (1.0 - height * height / 4.0_f64).sqrt();
        let d = [flat * turn.cos(), flat * turn.sin(), height / 2.0];
        let mut before = 1.0;
        for n in 0..=solids.len() {
            let light = Scene::new(Bodies::of(&solids[..n]).0).light(at(0.0, 0.0, 0.0), d);
            prop_assert!(light <= before + 1e-12);
            before = light;
        }
    }
}
