//! Small scenes, and what is no scene.

use std::sync::Arc;

use glam::{Affine3A, DVec3, Vec3A};
use groundwright_picture::{
    Camera, CameraFault, Heaven, Instance, Lamp, LampFault, Lens, Material, Mesh, MeshFault, Round, Scene,
    SceneParts, Spread, WHITE,
};

/// A quadrangle by a corner and two edges, with a material.
pub(crate) fn quad(corner: Vec3A, along: Vec3A, across: Vec3A, material: u16) -> [([Vec3A; 3], u16); 2] {
    let (a, b, c, d) = (corner, corner + along, corner + along + across, corner + across);
    [([a, b, c], material), ([a, c, d], material)]
}

/// The six faces of a cube about the origin.
pub(crate) fn cube(side: f32, material: u16) -> Vec<([Vec3A; 3], u16)> {
    let h = side / 2.0;
    let axes =
        [(Vec3A::X, Vec3A::Y, Vec3A::Z), (Vec3A::Y, Vec3A::Z, Vec3A::X), (Vec3A::Z, Vec3A::X, Vec3A::Y)];
    axes.iter()
        .flat_map(|(n, u, v)| {
            [-1.0, 1.0].map(|s| quad((*n * s - *u - *v) * h, *u * side, *v * side, material))
        })
        .flatten()
        .collect()
}

/// A lamp alike in all directions. [cd]
pub(crate) fn bare_lamp(at: DVec3, candela: f32, layer: u16) -> Lamp {
    let spread = Spread::Axial(vec![(0.0, candela), (std::f32::consts::PI, candela)]);
    Lamp::new(at, DVec3::Z, DVec3::X, spread, WHITE, layer).expect("a lamp")
}

/// A scene of triangles as they are.
pub(crate) fn of_triangles(
    triangles: &[([Vec3A; 3], u16)],
    materials: Vec<Material>,
    lamps: Vec<Lamp>,
) -> Scene {
    let parts = SceneParts {
        meshes: vec![Arc::new(Mesh::new(triangles).expect("a mesh"))],
        instances: vec![Instance::as_is(0)],
        materials,
        lamps,
        ..SceneParts::default()
    };
    Scene::new(parts).expect("a scene")
}

#[test]
fn rays_meet_turned_and_stretched_meshes_where_they_stand() {
    let mesh = Arc::new(Mesh::new(&cube(1.0, 0)).expect("a mesh"));
    let pose = Affine3A::from_translation(glam::vec3(5.0, 0.0, 0.0))
        * Affine3A::from_rotation_z(std::f32::consts::FRAC_PI_4)
        * Affine3A::from_scale(glam::vec3(1.0, 1.0, 4.0));
    let parts = SceneParts {
        meshes: vec![mesh],
        instances: vec![Instance { mesh: 0, pose, tint: WHITE }],
        materials: vec![Material::grey(0.5)],
        ..SceneParts::default()
    };
    let scene = Scene::new(parts).expect("a scene");
    // Its edge stands √½ before its middle.
    let hit = scene.hit(Vec3A::new(0.0, 1e-3, 1.9), Vec3A::X).expect("a hit");
    assert!((hit.distance - (5.0 - 0.5f32.sqrt() + 1e-3)).abs() < 1e-4, "{hit:?}");
    assert!((hit.normal - Vec3A::new(-0.5f32.sqrt(), 0.5f32.sqrt(), 0.0)).length() < 1e-5, "{hit:?}");
    assert!(scene.hit(Vec3A::new(0.0, 0.0, 2.1), Vec3A::X).is_none());
    assert!(scene.clear(Vec3A::ZERO, Vec3A::X, 4.2) && !scene.clear(Vec3A::ZERO, Vec3A::X, 4.4));
}

#[test]
fn round_bodies_are_met_exactly_from_outside_and_inside() {
    let radii = DVec3::new(1.8, 1.5, 1.2);
    let parts = SceneParts {
        rounds: vec![
            (Round::Ellipsoid { centre: DVec3::ZERO, radii }, 0),
            (Round::Tube { foot: DVec3::new(10.0, 0.0, 0.0), radius: 0.15, height: 3.0 }, 0),
        ],
        materials: vec![Material::grey(0.2)],
        ..SceneParts::default()
    };
    let scene = Scene::new(parts).expect("a scene");
    let met = |at: [f32; 3], to: Vec3A| scene.hit(Vec3A::from_array(at), to).map(|hit| hit.distance);
    let near = |found: Option<f32>, expected: f32| found.is_some_and(|t| (t - expected).abs() < 1e-5);
    assert!(near(met([-5.0, 0.0, 0.0], Vec3A::X), 3.2));
    assert!(near(met([0.0, 0.0, 0.0], Vec3A::Z), 1.2));
    assert!(near(met([10.0, -1.0, 2.9], Vec3A::Y), 0.85));
    // A tube has no lid: straight down its middle nothing is met.
    assert_eq!(met([10.0, 0.0, 5.0], Vec3A::NEG_Z), None);
    assert_eq!(met([10.0, -1.0, 3.1], Vec3A::Y), None);
}

#[test]
fn what_is_no_scene_is_said_with_its_place() {
    assert_eq!(Mesh::new(&[]).err(), Some(MeshFault::Empty));
    let broken = [([Vec3A::ZERO, Vec3A::X, Vec3A::new(0.0, f32::NAN, 0.0)], 0)];
    assert_eq!(Mesh::new(&broken).err(), Some(MeshFault::NotFinite(0)));
    let said = |parts: SceneParts| Scene::new(parts).err().map(|fault| fault.to_string()).unwrap_or_default();
    let mesh = || vec![Arc::new(Mesh::new(&cube(1.0, 3)).expect("a mesh"))];
    assert_eq!(
        said(SceneParts { meshes: mesh(), materials: vec![Material::grey(0.5)], ..SceneParts::default() }),
        "mesh 0 names material 3, which is not there"
    );
    assert_eq!(
        said(SceneParts { instances: vec![Instance::as_is(2)], ..SceneParts::default() }),
        "instance 0 names mesh 2, which is not there"
    );
    assert!(
        said(SceneParts { materials: vec![Material::grey(1.5)], ..SceneParts::default() })
            .contains("expected shares that sum to at most 1")
    );
    let flat = Round::Tube { foot: DVec3::ZERO, radius: 0.0, height: 1.0 };
    let parts =
        SceneParts { rounds: vec![(flat, 0)], materials: vec![Material::grey(0.5)], ..SceneParts::default() };
    assert_eq!(said(parts), "round body 0: a size is 0 m; expected a finite length above 0");
}

#[test]
fn what_is_no_camera_or_lamp_is_said() {
    let camera = |to, lens, size| Camera::new(DVec3::ZERO, to, DVec3::Z, lens, size).err();
    assert_eq!(camera(DVec3::ZERO, Lens::Flat(1.0), [8, 8]), Some(CameraFault::Nowhere));
    let fault = camera(DVec3::X, Lens::Flat(4.0), [8, 8]).expect("a fault").to_string();
    assert_eq!(fault, "the lens is 4; expected an angle above 0 and below 177°");
    let fault = camera(DVec3::X, Lens::Flat(1.0), [0, 8]).expect("a fault").to_string();
    assert_eq!(fault, "width is 0; expected 1 to 16384 pixels");
    let lamp = |axis, table| Lamp::new(DVec3::ZERO, axis, DVec3::X, Spread::Axial(table), WHITE, 0).err();
    assert_eq!(lamp(DVec3::ZERO, vec![(0.0, 1.0)]), Some(LampFault::Place));
    assert_eq!(lamp(DVec3::Z, vec![(0.2, 1.0), (0.1, 1.0)]), Some(LampFault::Table));
    assert_eq!(lamp(DVec3::Z, vec![]), Some(LampFault::Table));
}

#[test]
fn nothing_is_lit_where_nothing_stands() {
    let parts = SceneParts { lamps: vec![bare_lamp(DVec3::Z, 100.0, 0)], ..SceneParts::default() };
    let scene = Scene::new(SceneParts { heaven: Heaven::default(), ..parts }).expect("a scene");
    assert_eq!(scene.hit(Vec3A::ZERO, Vec3A::X), None);
    assert!(scene.clear(Vec3A::ZERO, Vec3A::X, 10.0));
    assert_eq!(scene.triangles(), (0, 0));
}
