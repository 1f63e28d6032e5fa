// SPDX-License-Identifier: Apache-2.0
#include "faults/seeded_faults.h"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "advice/advice.h"
#include "base/problem.h"
#include "base/units.h"
#include "faults/seeded_scene.h"

namespace pivotfix::faults {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

// Index of the tag that marks a pivot.
std::size_t tag_of(const std::string& hardpoint) {
  const auto& names = hardpoint_names(Layout::strut);
  return static_cast<std::size_t>(first_pivot_tag +
                                  (std::find(names.begin(), names.end(), hardpoint) - names.begin()));
}

void touch(Scene& scene, std::size_t photo) {
  scene.as_in_good_set[photo] = false;
}

using PhotoRule = std::function<bool(std::size_t)>;
bool every(std::size_t) {
  return true;
}
PhotoRule from(std::size_t first) {
  return [first](std::size_t i) { return i >= first; };
}
PhotoRule each(std::size_t step) {
  return [step](std::size_t i) { return i % step == 1; };
}

void on_photos(Scene& scene, const PhotoRule& which, const std::function<void(std::size_t)>& change) {
  for (std::size_t i = 0; i < scene.shots.size(); ++i)
    if (which(i)) {
      touch(scene, i);
      change(i);
    }
}

std::function<void(Scene&)> with_tag(std::size_t tag, PhotoRule which,
                                     std::function<void(render::PaperTag&)> change) {
  return [=](Scene& scene) { on_photos(scene, which, [&](std::size_t i) { change(scene.tags[i][tag]); }); };
}

std::function<void(Scene&)> with_film(PhotoRule which, std::function<void(render::Film&)> change) {
  return [=](Scene& scene) { on_photos(scene, which, [&](std::size_t i) { change(scene.films[i]); }); };
}

std::function<void(Scene&)> with_picture(PhotoRule which, std::function<void(GreyPicture&)> paint) {
  return [=](Scene& scene) { on_photos(scene, which, [&](std::size_t i) { scene.paint[i] = paint; }); };
}

std::function<void(Scene&)> with_camera(PhotoRule which, std::function<void(CameraDescription&)> change) {
  return [=](Scene& scene) {
    for (std::size_t i = 0; i < scene.cameras.size(); ++i)
      if (which(i)) change(scene.cameras[i]);
  };
}

std::function<void(Scene&)> keep(PhotoRule which) {
  return [=](Scene& scene) {
    for (std::size_t i = 0; i < scene.broken.size(); ++i)
      if (!which(i)) {
        scene.sightings[i].clear();
        scene.as_in_good_set[i] = true;
      }
  };
}

// --- pictures ---

GreyPicture made_from(int width_px, int height_px, const std::function<double(double, double)>& grey_at) {
  GreyPicture made{width_px, height_px, {}};
  made.grey.reserve(static_cast<std::size_t>(width_px) * height_px);
  for (int y = 0; y < height_px; ++y)
    for (int x = 0; x < width_px; ++x)
      made.grey.push_back(static_cast<std::uint8_t>(std::clamp(grey_at(x, y) + 0.5, 0.0, 255.0)));
  return made;
}

double grey_at(const GreyPicture& picture, double x_px, double y_px) {
  const double x = std::clamp(x_px, 0.0, picture.width_px - 1.001);
  const double y = std::clamp(y_px, 0.0, picture.height_px - 1.001);
  const auto column = static_cast<std::size_t>(x), row = static_cast<std::size_t>(y);
  const double fx = x - static_cast<double>(column), fy = y - static_cast<double>(row);
  const auto at = [&](std::size_t r, std::size_t c) {
    return static_cast<double>(picture.grey[r * static_cast<std::size_t>(picture.width_px) + c]);
  };
  return (1 - fy) * ((1 - fx) * at(row, column) + fx * at(row, column + 1)) +
         fy * ((1 - fx) * at(row + 1, column) + fx * at(row + 1, column + 1));
}

void mirror(GreyPicture& picture) {
  const GreyPicture before = picture;
  picture = made_from(before.width_px, before.height_px,
                      [&](double x, double y) { return grey_at(before, before.width_px - 1 - x, y); });
}

void turn(GreyPicture& picture) {
  const GreyPicture before = picture;
  picture = made_from(before.height_px, before.width_px,
                      [&](double x, double y) { return grey_at(before, y, before.height_px - 1 - x); });
}

void crop(GreyPicture& picture) {
  const GreyPicture before = picture;
  picture = made_from(1500, 1200, [&](double x, double y) { return grey_at(before, x + 300, y + 60); });
}

void crop_and_enlarge(GreyPicture& picture) {
  const GreyPicture before = picture;
  picture = made_from(before.width_px, before.height_px,
                      [&](double x, double y) { return grey_at(before, 300 + 0.75 * x, 60 + 0.75 * y); });
}

// As a camera joins a sweep: straight up and down, bent across.
void make_panorama(GreyPicture& picture) {
  const GreyPicture before = picture;
  const double focal_px = 0.74 * before.width_px, middle_px = 0.5 * before.width_px;
  const double middle_y_px = 0.5 * before.height_px;
  picture = made_from(before.width_px, before.height_px, [&](double x, double y) {
    const double angle = (x - middle_px) / focal_px;
    return grey_at(before, middle_px + focal_px * std::tan(angle),
                   middle_y_px + (y - middle_y_px) / std::cos(angle));
  });
}

// A hand that moved along the picture's rows while the shutter was open.
void shake(GreyPicture& picture) {
  constexpr int reach_px = 9;
  const GreyPicture before = picture;
  picture = made_from(before.width_px, before.height_px, [&](double x, double y) {
    double sum = 0.0;
    for (int k = -reach_px / 2; k <= reach_px / 2; ++k) sum += grey_at(before, x + k, y);
    return sum / (reach_px / 2 * 2 + 1);
  });
}

// Around the place of a tag in each picture.
std::function<void(Scene&)> painted_tag(std::size_t tag, PhotoRule which,
                                        std::function<void(GreyPicture&, const Vector2d&, double)> paint) {
  return [=](Scene& scene) {
    on_photos(scene, which, [&](std::size_t i) {
      const render::PaperTag& paper = scene.tags[i][tag];
      const Vector2d centre_px = render::picture_of(scene.shots[i], paper.world_from_tag.translation_mm);
      const Vector3d up = paper.world_from_tag * Vector3d(0.0, 0.5 * paper.side_mm, 0.0);
      const double half_px = (render::picture_of(scene.shots[i], up) - centre_px).norm();
      scene.paint[i] = [=](GreyPicture& picture) { paint(picture, centre_px, half_px); };
    });
  };
}

void change_pixels(GreyPicture& picture, const std::function<double(const Vector2d&, double)>& change) {
  const GreyPicture before = picture;
  picture = made_from(before.width_px, before.height_px, [&](double x, double y) {
    return change({x, y}, grey_at(before, x, y));
  });
}

void hide_half(GreyPicture& picture, const Vector2d& centre_px, double half_px) {
  change_pixels(picture, [&](const Vector2d& at, double grey) {
    const Vector2d off = at - centre_px;
    return off.x() > 0.2 * half_px && off.norm() < 3.0 * half_px ? 90.0 : grey;
  });
}

void put_glare(GreyPicture& picture, const Vector2d& centre_px, double half_px) {
  const Vector2d spot = centre_px + Vector2d(0.7 * half_px, -0.5 * half_px);
  change_pixels(picture, [&](const Vector2d& at, double grey) {
    const double r = (at - spot).norm() / (0.8 * half_px);
    return grey + 300.0 * std::exp(-r * r);
  });
}

// The paper waves: what is seen at a place comes from up to two pixels beside it.
void crumple(GreyPicture& picture, const Vector2d& centre_px, double half_px) {
  const GreyPicture before = picture;
  picture = made_from(before.width_px, before.height_px, [&](double x, double y) {
    const Vector2d off = (Vector2d(x, y) - centre_px) / half_px;
    const double fade = std::exp(-0.15 * off.squaredNorm());
    return grey_at(before, x + 2.0 * fade * std::sin(2.5 * off.y()),
                   y + 2.0 * fade * std::sin(2.1 * off.x()));
  });
}

// --- the list ---

void swap_recipes(Scene& scene, const std::string& one, const std::string& other) {
  auto& points = scene.question.hardpoints;
  std::swap(points[tag_of(one) - first_pivot_tag].way, points[tag_of(other) - first_pivot_tag].way);
}

void shift_all(Scene& scene, const PhotoRule& which, const std::function<bool(std::size_t)>& tags,
               const std::function<Vector3d(std::size_t)>& shift_mm) {
  on_photos(scene, which, [&](std::size_t i) {
    for (std::size_t tag = 0; tag < scene.tags[i].size(); ++tag)
      if (tags(tag)) scene.tags[i][tag].world_from_tag.translation_mm += shift_mm(tag);
  });
}

bool on_car(std::size_t tag) {
  return tag >= first_pivot_tag && tag < first_pivot_tag + 8U;
}

void print_second(Scene& scene, const PhotoRule& which, bool hide_first) {
  const std::size_t tag = tag_of("link_outer_joint");
  on_photos(scene, which, [&](std::size_t i) {
    render::PaperTag second = scene.tags[i][tag];
    second.world_from_tag.translation_mm += Vector3d(330.0, 60.0, 160.0);
    if (hide_first)
      scene.tags[i][tag] = second;
    else
      scene.tags[i].push_back(second);
  });
}

void lift_on_cable(render::PaperTag& tag) {
  tag.world_from_tag.translation_mm.z() += 4.0;
  tag.world_from_tag.rotation =
      Eigen::Quaterniond(Eigen::AngleAxisd(8.0 / 60.0, Vector3d::UnitX())) * tag.world_from_tag.rotation;
}

using Faults = std::vector<Fault>;

Faults faults_of_tags() {
  const std::size_t ball_joint = tag_of("lower_ball_joint"), outer = tag_of("link_outer_joint");
  const auto move = [](double by_mm) {
    return [by_mm](render::PaperTag& tag) { tag.world_from_tag.translation_mm.x() += by_mm; };
  };
  return {
      {"nothing", [](Scene&) {}},
      {"a tag moved by 2 mm between photos", with_tag(ball_joint, from(12), move(2.0))},
      {"a tag moved by 20 mm between photos", with_tag(ball_joint, from(12), move(20.0))},
      {"a tag moved by 2 mm half way", with_tag(outer, from(10), move(2.0))},
      {"the car settled by 4 mm between photos",
       [](Scene& scene) {
         shift_all(scene, from(11), on_car, [](std::size_t) { return Vector3d(0.0, 0.0, -4.0); });
       }},
      {"two tags with one number in the same photos",
       [](Scene& scene) { print_second(scene, every, false); }},
      {"two tags with one number, never together", [](Scene& scene) { print_second(scene, each(3), true); }},
      {"one tag printed at 97 %", with_tag(outer, every, [](render::PaperTag& tag) { tag.side_mm *= 0.97; })},
      {"all tags printed at 97 %",
       [](Scene& scene) {
         on_photos(scene, every, [&](std::size_t i) {
           for (render::PaperTag& tag : scene.tags[i]) tag.side_mm *= 0.97;
         });
       }},
      {"a tag half hidden in every photo", painted_tag(outer, every, hide_half)},
      {"a tag half hidden in some photos", painted_tag(outer, each(3), hide_half)},
      {"a tag wet and crumpled", painted_tag(ball_joint, every, crumple)},
      {"glare on a tag in some photos", painted_tag(ball_joint, each(3), put_glare)},
      {"glare on a tag in every photo", painted_tag(ball_joint, every, put_glare)},
      {"a floor tag on a cable, of five", with_tag(1, every, lift_on_cable)},
      {"a floor tag on a cable, of three",
       [](Scene& scene) {
         with_tag(1, every, lift_on_cable)(scene);
         scene.question.axes.floor_tags.resize(3);
       }},
      {"four photos of another car among them",
       [](Scene& scene) {
         shift_all(
             scene, [](std::size_t i) { return i % 5 == 2; }, on_car,
             [](std::size_t tag) {
               return Vector3d(18.0 * std::sin(3.0 * static_cast<double>(tag)), 0.0,
                               25.0 * std::cos(5.0 * static_cast<double>(tag)));
             });
       }},
  };
}

Faults faults_of_cameras() {
  return {
      {"two mirrored (selfie) photos", with_picture([](std::size_t i) { return i == 4 || i == 9; }, mirror)},
      {"all photos mirrored", with_picture(every, mirror)},
      {"half of the pictures turned by a program", with_picture(each(2), turn)},
      {"one photo zoomed",
       [](Scene& scene) {
         on_photos(
             scene, [](std::size_t i) { return i == 7; },
             [&](std::size_t i) { scene.shots[i].lens.values[lens_focal_px] *= 1.4; });
       }},
      {"seven photos zoomed",
       [](Scene& scene) {
         on_photos(scene, each(3), [&](std::size_t i) { scene.shots[i].lens.values[lens_focal_px] *= 1.25; });
       }},
      {"two photos cropped", with_picture([](std::size_t i) { return i == 5 || i == 6; }, crop)},
      {"two photos cropped and enlarged",
       with_picture([](std::size_t i) { return i == 5 || i == 6; }, crop_and_enlarge)},
      {"a panorama among them", with_picture([](std::size_t i) { return i == 8; }, make_panorama)},
      {"five panoramas among them", with_picture(each(4), make_panorama)},
      {"a motion-blurred series of six", with_picture(from(14), shake)},
      {"all photos motion-blurred", with_picture(every, shake)},
      {"all photos out of focus", with_film(every, [](render::Film& film) { film.blur_px = 3.0; })},
      {"all photos in poor light", with_film(every,
                                             [](render::Film& film) {
                                               film.exposure = 0.12;
                                               film.noise_grey = 9.0;
                                             })},
      {"all photos overexposed", with_film(every, [](render::Film& film) { film.exposure = 3.0; })},
      {"one photo twice under two names",
       [](Scene& scene) {
         scene.copies = {{0, 3}};
       }},
      {"all photos twice under two names",
       [](Scene& scene) {
         for (int i = 0; i < photo_count; ++i) scene.copies.emplace_back(i, i);
       }},
      {"EXIF missing", with_camera(every,
                                   [](CameraDescription& camera) {
                                     const int width_px = camera.width_px, height_px = camera.height_px;
                                     camera = {};
                                     camera.width_px = width_px;
                                     camera.height_px = height_px;
                                   })},
      {"EXIF says twice the focal length",
       with_camera(every, [](CameraDescription& camera) { camera.focal_length_35mm_mm *= 2.0; })},
      {"EXIF of six photos says another camera",
       with_camera(from(14), [](CameraDescription& camera) { camera.model = "Pocket 4"; })},
      {"half of the photos truncated",
       [](Scene& scene) {
         for (std::size_t i = 0; i < scene.broken.size(); i += 2) scene.broken[i] = true;
       }},
      {"all photos from one side", keep([](std::size_t i) { return i < 7; })},
      {"photos from one standpoint only",
       [](Scene& scene) {
         const render::Shot middle = scene.shots[10];
         const Vector3d place = middle.camera_from_world.inverse().translation_mm;
         on_photos(scene, every, [&](std::size_t i) {
           const double angle = 0.6 * static_cast<double>(i);
           scene.shots[i].camera_from_world =
               render::look_at(place, {90.0 * std::sin(angle), 0.0, 300.0 + 70.0 * std::cos(angle)},
                               i % 2 == 0 ? 0.0 : 0.5 * M_PI);
         });
       }},
      {"three photos only", keep([](std::size_t i) { return i == 3 || i == 10 || i == 16; })},
  };
}

Faults faults_of_jobs() {
  return {
      {"a strip mistyped by 10 mm", [](Scene& scene) { scene.scale_bars[0].length_mm += 10.0; }},
      {"the only strip mistyped by 10 mm",
       [](Scene& scene) {
         scene.scale_bars.resize(1);
         scene.scale_bars[0].length_mm += 10.0;
       }},
      {"a strip given in inches as millimetres",
       [](Scene& scene) { scene.scale_bars[0].length_mm /= mm_per_inch; }},
      {"no strip", [](Scene& scene) { scene.scale_bars.clear(); }},
      {"side: right for left", [](Scene& scene) { scene.question.side = Side::right; }},
      {"inner and outer link joint swapped",
       [](Scene& scene) { swap_recipes(scene, "link_inner_joint", "link_outer_joint"); }},
      {"front and rear arm pivot swapped",
       [](Scene& scene) { swap_recipes(scene, "lower_arm_front_pivot", "lower_arm_rear_pivot"); }},
      {"ball joint and strut mount swapped",
       [](Scene& scene) { swap_recipes(scene, "lower_ball_joint", "strut_top_mount"); }},
      {"ball joint and outer link joint swapped",
       [](Scene& scene) { swap_recipes(scene, "lower_ball_joint", "link_outer_joint"); }},
      {"forward line the wrong way round",
       [](Scene& scene) { std::swap(scene.question.axes.forward_from, scene.question.axes.forward_to); }},
      {"half track in inches as millimetres",
       [](Scene& scene) { scene.question.axes.half_track_mm /= mm_per_inch; }},
      {"a pivot's tag number mistyped",
       [](Scene& scene) {
         std::get<TagOffset>(scene.question.hardpoints[2].way).tag =
             static_cast<int>(tag_of("strut_axis_low"));
       }},
  };
}

}  // namespace

const std::vector<Fault>& all_faults() {
  static const std::vector<Fault> all = [] {
    std::vector<Fault> list;
    for (const Faults& part : {faults_of_tags(), faults_of_cameras(), faults_of_jobs()})
      list.insert(list.end(), part.begin(), part.end());
    return list;
  }();
  return all;
}

Found try_fault(const Fault& fault) {
  Found found;
  found.name = fault.name;
  const Advice truth = advise({true_hardpoints(), RodEnd{}, Driving{}, {}});
  Scene scene = good_scene();
  fault.seed(scene);
  take_photos(scene);
  const auto say = [&](const std::string& sentence) {
    found.says += (found.says.empty() ? "" : " ") + sentence;
  };
  try {
    NetworkInput input;
    try {
      input = input_of(scene, false);
    } catch (const Problem& problem) {
      say("Refused until told to skip broken photos (" + problem.place().file + ").");
      input = input_of(scene, true);
    }
    const Network network = adjust_network(input);
    Located located = locate(network, scene.question);
    located.hardpoints.wheel.camber_is_known = true;  // read as 0, as it is
    const Advice advice = advise({located.hardpoints, RodEnd{}, Driving{}, {}});
    for (const std::string& warning : network.warnings) say(warning);
    for (const std::string& note : located.notes) say(note);
    for (const std::string& warning : advice.warnings)
      if (warning.find("of toe change stay even at the best height") == std::string::npos) say(warning);
    found.ending = found.says.empty() ? Ending::plain : Ending::warned;
    found.error_mm = std::abs(advice.best_height_change_mm.value - truth.best_height_change_mm.value);
    found.sigma_mm = advice.best_height_change_mm.sigma;
  } catch (const Problem& problem) {
    found.ending = Ending::refused;
    found.says = problem.what_happened();
  }
  return found;
}

std::string table_of(const std::vector<Found>& all) {
  std::string text =
      "| fault | ends | spacer height off by | stated | wrong without a warning | what is said |\n"
      "|---|---|---|---|---|---|\n";
  for (const Found& found : all) {
    const bool refused = found.ending == Ending::refused;
    text += "| " + found.name + " | " +
            (refused                          ? "refused"
             : found.ending == Ending::warned ? "warned"
                                              : "survived") +
            " | " + (refused ? "" : format_fixed(found.error_mm, 2) + " mm") + " | " +
            (refused ? "" : format_fixed(found.sigma_mm, 2) + " mm") + " | " +
            (found.wrong() && found.ending == Ending::plain ? "YES" : "no") + " | " + found.says + " |\n";
  }
  return text;
}

}  // namespace pivotfix::faults
