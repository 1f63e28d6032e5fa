// SPDX-License-Identifier: Apache-2.0
// Whether the rod end can tilt as far as the wheel's travel asks for.
#pragma once

#include "advice/advice.h"

namespace pivotfix {

// Half of a rod end's whole misalignment: how far its housing can tilt against the ball before it touches a
// spacer of this diameter at the ball's face. Zero when the sizes are not known. Two contacts, both derived
// and printed as special cases in bearing makers' engineering data: spacer narrower than the ball's face (the
// housing's edge meets the neck), acos(S/E) - asin(H/E); wider (it meets the spacer's rim),
// asin(W/A) - asin(H/A) with A^2 = W^2 + S^2. W ball width, E ball diameter, H housing width, S spacer.
double allowed_tilt_rad(const RodEndSizes& sizes, double spacer_diameter_mm);

// Diameter of the ball's flat face.
double ball_face_diameter_mm(const RodEndSizes& sizes);

// Angle between the link and the plane across the stud in this state: what the rod end must tilt.
double needed_tilt_rad(const Corner& corner, const CornerState& state);

// Over the travel and from lock to lock, now and with the rod end `height_mm` higher; with that also over two
// inches either way (common practice), where the travel is less. The lock is that of the
// wheel at ride height, or as far as link and arms let it steer; the rack stays there while the wheel
// travels.
Tilt tilt_over(const Corner& corner, const RodEnd& rod_end, double height_mm, const Travel& travel);

}  // namespace pivotfix
