// SPDX-License-Identifier: Apache-2.0
// The invented club car's left front corner, wheel off, on stands in an invented workshop.
// Vehicle axes (x forward, y left, z up, millimetres) are used as they are: the camera's vectors are given
// one by one, so POV-Ray's left-handed habit never comes into play.
#version 3.7;
#include "camera.inc"   // one photo's camera, written by render.py
#include "points.inc"   // hardpoints, written by povscene.py
#include "materials.inc"
#include "parts.inc"

global_settings { assumed_gamma 1.0 max_trace_level 3 ambient_light rgb 1 }
background { rgb 0.05 }

// A pair of tubes over the corner, as two points: area lights cost most of the rendering time.
light_source { <900, 1900, 2750> rgb <0.66, 0.67, 0.64> area_light <90, 260, 0>, <1, 0, 0>, 2, 1 }
light_source { <1900, 1700, 420> rgb <0.40, 0.37, 0.31> }
light_source { <-1300, 1300, 2750> rgb <0.36, 0.37, 0.36> shadowless }
// Light thrown back by floor and walls: cheap stand-ins that cast no shadow.
light_source { <100, 2300, -200> rgb <0.17, 0.17, 0.18> shadowless }
light_source { <2300, 500, -150> rgb <0.13, 0.13, 0.14> shadowless }
light_source { <-1900, 900, -150> rgb <0.13, 0.13, 0.13> shadowless }

#include "workshop.inc"
#include "body.inc"
#include "suspension.inc"
#include "tags.inc"     // printed tags and their caps, written by povscene.py
