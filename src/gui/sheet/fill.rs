//! Cuts a filled outline into triangles by clipping ears, since egui itself fills convex shapes
//! only. For the ties and flags of a sheet: short outlines that do not cross themselves.

use egui::Color32;
use egui::Mesh;
use egui::Pos2;

/// A mesh that fills an outline; empty for fewer than three points.
#[must_use]
pub fn polygon(points: &[Pos2], colour: Color32) -> Mesh {
    let mut mesh = Mesh::default();
    let mut left: Vec<(u32, Pos2)> = Vec::new();
    for (idx, point) in (0u32..).zip(points) {
        if left
            .last()
            .is_none_or(|(_, last)| last.distance(*point) > 1e-3)
        {
            left.push((idx, *point));
        }
        mesh.colored_vertex(*point, colour);
    }
    let area: f32 = left
        .iter()
        .zip(left.iter().cycle().skip(1))
        .map(|((_, a), (_, b))| a.x * b.y - b.x * a.y)
        .sum();
    let turn = area.signum();
    while left.len() >= 3 {
        let n = left.len();
        let ear = (0..n).find(|i| is_ear(&left, *i, turn)).unwrap_or(0);
        let corner = |i: usize| left.get(i % n).copied();
        if let (Some(a), Some(b), Some(c)) = (corner(ear + n - 1), corner(ear), corner(ear + 1)) {
            mesh.add_triangle(a.0, b.0, c.0);
        }
        left.remove(ear);
    }
    mesh
}

/// Whether a corner points outwards and no other corner lies in its triangle.
fn is_ear(points: &[(u32, Pos2)], i: usize, turn: f32) -> bool {
    let n = points.len();
    let at = |i: usize| points.get(i % n).map_or(Pos2::ZERO, |(_, p)| *p);
    let (a, b, c) = (at(i + n - 1), at(i), at(i + 1));
    let cross = |o: Pos2, p: Pos2, q: Pos2| (p.x - o.x) * (q.y - o.y) - (p.y - o.y) * (q.x - o.x);
    if cross(a, b, c) * turn <= 0.0 {
        return false;
    }
    let inside = |p: Pos2| {
        let sides = [cross(a, b, p), cross(b, c, p), cross(c, a, p)];
        sides.iter().all(|side| side * turn > 0.0)
    };
    !points.iter().any(|(_, p)| inside(*p))
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    fn area(mesh: &Mesh) -> f32 {
        let at = |i: u32| mesh.vertices[i as usize].pos;
        let triangle = |t: &[u32]| {
            let (a, b, c) = (at(t[0]), at(t[1]), at(t[2]));
            ((b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)).abs() / 2.0
        };
        mesh.indices.chunks(3).map(triangle).sum()
    }

    #[test]
    fn a_concave_outline_is_filled_once_and_not_beyond_its_edge() {
        // An arrow head with a notch: 4 × 4 bounding box, area by the shoelace formula is 6.
        let notched = [
            pos2(0.0, 0.0),
            pos2(4.0, 2.0),
            pos2(0.0, 4.0),
            pos2(1.0, 2.0),
        ];
        for points in [notched.to_vec(), notched.iter().rev().copied().collect()] {
            let mesh = polygon(&points, Color32::BLACK);
            assert!((area(&mesh) - 6.0).abs() < 1e-3, "{}", area(&mesh));
        }
    }

    #[test]
    fn fewer_than_three_points_fill_nothing() {
        assert!(
            polygon(&[pos2(0.0, 0.0), pos2(1.0, 1.0)], Color32::BLACK)
                .indices
                .is_empty()
        );
    }
}
