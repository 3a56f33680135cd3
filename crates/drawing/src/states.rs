//! Which module draws which trait's states, in the order of the key.

use crate::{Drawing, Nature};
use crate::{base, blade, blade_face, habit, ligule_push, shoot};
use crate::{blade_coat, collar, joint, lowest_sheath, seed};

/// The drawing of one state, as it stands on the card of its trait: specimen 0. None where the
/// pair is unknown or the trait has no states.
pub fn state(trait_id: &str, state_id: &str) -> Option<Drawing> {
    let nature = Nature::of(0);
    match trait_id {
        "tiller_base" => base::tiller_base(state_id, &nature),
        "sheath_hairs" => lowest_sheath::sheath_hairs(state_id, &nature),
        "sheath_hair_texture" => lowest_sheath::sheath_hair_texture(state_id, &nature),
        "collar_hairs" => collar::collar_hairs(state_id, &nature),
        "blade_hairs_upper" => blade_coat::blade_hairs_upper(state_id, &nature),
        "blade_edge_hairs" => blade_coat::blade_edge_hairs(state_id, &nature),
        "sheath_edge_hairs" => lowest_sheath::sheath_edge_hairs(state_id, &nature),
        "blade_hairs_lower" => blade_coat::blade_hairs_lower(state_id, &nature),
        "node_hairs" => joint::node_hairs(state_id, &nature),
        "vernation" => shoot::vernation(state_id, &nature),
        "ligule_type" => collar::ligule_type(state_id, &nature),
        "ligule_length" => collar::ligule_length(state_id, &nature),
        "ligule_edge" => collar::ligule_edge(state_id, &nature),
        "ligule_texture" => ligule_push::ligule_texture(state_id),
        "growth_habit" => habit::growth_habit(state_id, &nature),
        "low_branching" => habit::low_branching(state_id, &nature),
        "runners" => habit::runners(state_id, &nature),
        "stem_section" => shoot::stem_section(state_id, &nature),
        "auricles" => collar::auricles(state_id, &nature),
        "sheath_keel" => shoot::sheath_keel(state_id, &nature),
        "sheath_closure" => shoot::sheath_closure(state_id, &nature),
        "blade_base" => blade::blade_base(state_id, &nature),
        "blade_midrib" => blade_face::blade_midrib(state_id, &nature),
        "blade_tip" => blade::blade_tip(state_id, &nature),
        "blade_edge" => blade::blade_edge(state_id, &nature),
        "blade_surface" => blade_face::blade_surface(state_id, &nature),
        "first_leaf" => habit::first_leaf(state_id, &nature),
        "seed_attached" => seed::seed_attached(state_id, &nature),
        "blade_color" => blade_face::blade_color(state_id, &nature),
        "base_color" => base::base_color(state_id, &nature),
        _ => None,
    }
}
