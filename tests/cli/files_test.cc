// SPDX-License-Identifier: Apache-2.0
// The commands and the files they read and write, short of real photos: tests/samples has those.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <filesystem>

#include "job/job.h"
#include "job/tag_cache.h"
#include "run_program.h"
#include "sheets/sheets.h"

namespace pivotfix {
namespace {

using Names = std::vector<std::string>;

std::string replaced(std::string text, const std::string& old_part, const std::string& new_part) {
  const std::size_t at = text.find(old_part);
  EXPECT_NE(at, std::string::npos) << old_part;
  return text.replace(at, old_part.size(), new_part);
}

// Page 1 of the default sheets as a photo: tags 0 to 7 and 10.
void photograph_sheet(const Workshop& workshop, const std::string& name) {
  ASSERT_EQ(workshop.run({"print", "-o", "sheet.pdf"}).exit_code, 0);
  std::filesystem::create_directories((workshop.folder() / name).parent_path());
  const std::string command = std::string(PDFTOPPM) + " -png -singlefile -r 100 -l 1 '" +
                              (workshop.folder() / "sheet.pdf").string() + "' '" +
                              (workshop.folder() / name).string() + "'";
  ASSERT_EQ(std::system(command.c_str()), 0);
  std::filesystem::remove(workshop.folder() / "sheet.pdf");
}

TEST(Print, MakesAPdfAndTheSameOneAgain) {
  const Workshop workshop;
  const Outcome outcome = workshop.run({"print", "-o", "a.pdf"});
  EXPECT_EQ(outcome.exit_code, 0);
  EXPECT_EQ(outcome.err, "");
  EXPECT_EQ(outcome.out, "Wrote a.pdf: 5 pages. Print at 100 % and check the rulers with a steel rule.\n");
  EXPECT_TRUE(workshop.read("a.pdf").starts_with("%PDF-"));
  EXPECT_EQ(workshop.run({"print", "-o", "b.pdf"}).exit_code, 0);
  EXPECT_EQ(workshop.read("a.pdf"), workshop.read("b.pdf"));
}

TEST(Print, TakesNumbersStripsAndSizes) {
  const Workshop workshop;
  const Outcome outcome =
      workshop.run({"print", "--numbers", "100-102,200", "--strip", "60-61", "--strip", "62-63", "--side",
                    "1 in", "--strip-length", "150", "--paper", "letter"});
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_EQ(outcome.out,
            "Wrote sheets.pdf: 2 pages. Print at 100 % and check the rulers with a steel rule.\n");
}

TEST(Print, DoesNotReplaceAFileUnlessForced) {
  const Workshop workshop;
  workshop.write("sheets.pdf", "mine");
  const Outcome outcome = workshop.run({"print"});
  EXPECT_EQ(outcome.exit_code, 2);
  EXPECT_EQ(outcome.err,
            "pivotfix: \"sheets.pdf\" exists already. Choose another name, or say --force to replace it.\n");
  EXPECT_EQ(workshop.read("sheets.pdf"), "mine");
  EXPECT_EQ(workshop.run({"print", "--force"}).exit_code, 0);
  EXPECT_NE(workshop.read("sheets.pdf"), "mine");
}

TEST(Print, SaysOfANameThatCannotBeThatItCannotBe) {
  const Workshop workshop;
  const std::string name = std::string(300, 'a') + ".pdf";
  const Outcome outcome = workshop.run({"print", "-o", name});
  EXPECT_EQ(outcome.exit_code, 3);
  EXPECT_EQ(outcome.err,
            "pivotfix: " + name + ": Cannot look at the file: File name too long. Choose another name.\n");
  const Outcome forced = workshop.run({"print", "-o", name, "--force"});
  EXPECT_EQ(forced.exit_code, 3);
  EXPECT_EQ(forced.err,
            "pivotfix: " + name + ": Cannot write the file: File name too long. Nothing was changed.\n");
}

// That these pages are right is tested in tests/sheets.
TEST(Print, MakesTheSheetsOfSeveralHeightsAndThePointersPage) {
  const Workshop workshop;
  const Outcome heights = workshop.run({"print", "--heights", "-o", "heights.pdf"});
  EXPECT_EQ(heights.exit_code, 0) << heights.err;
  const std::vector<Page> pages = lay_out_sheets(heights_sheets(Paper::a4));
  EXPECT_EQ(heights.out, "Wrote heights.pdf: " + std::to_string(pages.size()) +
                             " pages. Print at 100 % and check the rulers with a steel rule.\n");
  EXPECT_EQ(workshop.read("heights.pdf"), sheets_pdf(pages));
  const Outcome pointer =
      workshop.run({"print", "--pointer", "-o", "pointer.pdf", "--paper", "letter", "--side", "30 mm"});
  EXPECT_EQ(pointer.exit_code, 0) << pointer.err;
  EXPECT_EQ(
      pointer.out,
      "Wrote pointer.pdf: the pointer, 1 page. Print at 100 % and check the rulers with a steel rule.\n");
  EXPECT_EQ(workshop.read("pointer.pdf"), pointer_pdf(pointer_page(Paper::letter, 30.0)));
  EXPECT_EQ(
      workshop.run({"print", "--pointer", "--heights", "-o", "both.pdf"}).err,
      "pivotfix: --pointer is a page of its own. Print other tags to another file, without --pointer.\n");
  EXPECT_EQ(workshop.run({"print", "--heights", "--numbers", "1", "-o", "both.pdf"}).err,
            "pivotfix: --heights has tags and strips of its own. Print others to another file, without "
            "--heights.\n");
  EXPECT_FALSE(workshop.has("both.pdf"));
}

TEST(New, WritesAJobOfSeveralHeightsWithTagsOfTheSizeThatWasAskedFor) {
  const Workshop workshop;
  const Outcome outcome = workshop.run({"new", "heights.toml", "--heights", "--tag-side", "62.5 mm"});
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_EQ(
      outcome.out,
      "Wrote heights.toml. Put the photos of each height in the folder that it names and write what you "
      "measured in place of each \"?\".\n");
  const Job job = read_job(workshop.folder() / "heights.toml");
  EXPECT_EQ(job.question.heights.size(), 7U);
  EXPECT_EQ(job.tag_side_mm, 62.5);
  EXPECT_EQ(workshop.run({"new", "b.toml", "--tag-side", "wide"}).exit_code, 2);
  const Outcome too_small = workshop.run({"new", "b.toml", "--tag-side", "2 mm"});
  EXPECT_EQ(too_small.exit_code, 2);
  EXPECT_EQ(
      too_small.err,
      "pivotfix: --tag-side: \"2 mm\" is no side of a tag, which may be 5 to 1000 mm. Check the unit: write "
      "it like --tag-side \"40 mm\".\n");
  EXPECT_FALSE(workshop.has("b.toml"));
  ASSERT_EQ(workshop.run({"new", "c.toml", "--units", "in", "--tag-side", "1.4469"}).exit_code, 0);
  EXPECT_NE(workshop.read("c.toml").find("\nside = \"1.4469 in\" "), std::string::npos);
}

TEST(New, WritesAJobThatOnlyLacksItsPhotosAndWhatMustBeMeasured) {
  for (const char* layout :
       {"strut", "strut-two-links", "double-wishbone", "double-wishbone-upper-spring", "five-link"}) {
    const Workshop workshop;
    const Outcome outcome = workshop.run({"new", "front.toml", "--layout", layout, "--side", "right"});
    EXPECT_EQ(outcome.exit_code, 0);
    EXPECT_EQ(outcome.out,
              "Wrote front.toml. Put the photos in a folder \"photos\" beside it and write what you measured "
              "in place "
              "of each \"?\".\n");
    const Outcome located = workshop.run({"locate", "front.toml"});
    EXPECT_EQ(located.exit_code, 3);
    EXPECT_EQ(located.err,
              "pivotfix: front.toml:16:10: There is no \"photos\". Put the photos into a folder of that name "
              "beside "
              "the job file (capital letters count), or write where they are.\n");
  }
}

// What nobody measured is not replaced by a likely number.
TEST(New, LeavesBlanksThatAreNamedTogetherWhenPhotosAreThere) {
  const Workshop workshop;
  photograph_sheet(workshop, "photos/one");
  ASSERT_EQ(workshop.run({"new", "front.toml"}).exit_code, 0);
  const Outcome outcome = workshop.run({"run", "front.toml"});
  EXPECT_EQ(outcome.exit_code, 3);
  EXPECT_EQ(
      outcome.err,
      "pivotfix: front.toml:20: Still to be measured: length (line 20, 25); floor_height (line 30); "
      "nose_up (line 32); half_track (line 36); stand_off (line 52, 58, 68, 74, 80); between_now (line 95); "
      "other_side_now (line 96). Write the number in place of each \"?\", with its unit: \"25.4 mm\". The "
      "comment beside it "
      "says from where to where.\n");
  workshop.fill_in("front.toml");
  EXPECT_EQ(workshop.run({"run", "front.toml"}).err.find("Still to be measured"), std::string::npos);
}

TEST(New, DoesNotReplaceAFileUnlessForced) {
  const Workshop workshop;
  workshop.write("front.toml", "mine");
  EXPECT_EQ(workshop.run({"new", "front.toml"}).exit_code, 2);
  EXPECT_EQ(workshop.read("front.toml"), "mine");
  EXPECT_EQ(workshop.run({"new", "front.toml", "--force"}).exit_code, 0);
  EXPECT_NE(workshop.read("front.toml"), "mine");
}

TEST(Locate, SaysThatTheJobIsMissing) {
  const Workshop workshop;
  const Outcome outcome = workshop.run({"locate", "nowhere.toml"});
  EXPECT_EQ(outcome.exit_code, 3);
  EXPECT_EQ(outcome.out, "");
  EXPECT_EQ(
      outcome.err,
      "pivotfix: nowhere.toml: There is no job file of this name that can be read. Check the path, or make a "
      "job file: pivotfix new job.toml\n");
}

TEST(Locate, NamesTheLineOfAMistypedKeyAndTheNearestOne) {
  const Workshop workshop;
  ASSERT_EQ(workshop.run({"new", "front.toml"}).exit_code, 0);
  workshop.write("front.toml", replaced(workshop.read("front.toml"), "half_track", "half_trak"));
  const Outcome outcome = workshop.run({"locate", "front.toml"});
  EXPECT_EQ(outcome.exit_code, 3);
  EXPECT_EQ(outcome.err,
            "pivotfix: front.toml:36:1: Unknown key \"half_trak\" in [axes]. Did you mean \"half_track\"?\n");
}

class WithSheetPhoto : public testing::Test {
 protected:
  void SetUp() override {
    photograph_sheet(workshop_, "photos/one");
    ASSERT_EQ(workshop_.run({"new", "front.toml"}).exit_code, 0);
    workshop_.fill_in("front.toml");
  }

  Names kept_entries() const {
    Names entries = workshop_.files();
    std::erase_if(entries, [](const std::string& file) { return !file.starts_with(".pivotfix-cache/"); });
    return entries;
  }

  Workshop workshop_{};
};

TEST_F(WithSheetPhoto, RefusesTagsThatNoPhotoShowsAndLeavesOnlyTheDiagnosis) {
  Names expected = workshop_.files();
  expected.insert(expected.begin(), "diagnosis.txt");
  for (const char* command : {"locate", "run"}) {
    const Outcome outcome = workshop_.run({command, "front.toml", "--no-cache"});
    EXPECT_EQ(outcome.exit_code, 4);
    EXPECT_EQ(outcome.out, "");
    EXPECT_EQ(
        outcome.err,
        "pivotfix: front.toml:19:12: Tag 60 (a scale strip) is in no photo, nor are 11, 12, 13, 14, 15, 16, "
        "17, "
        "18, 19, 20, 61, 62, 63. Take more photos that show it from different sides, clean, with its "
        "whole white rim and without glare; or correct the number here. What was found until then: "
        "diagnosis.txt\n");
    EXPECT_EQ(workshop_.files(), expected);
  }
  const std::string diagnosis = workshop_.read("diagnosis.txt");
  EXPECT_TRUE(diagnosis.starts_with("Diagnosis of a job that was refused\n\nWhy: Tag 60 (a scale strip)"))
      << diagnosis;
  EXPECT_NE(diagnosis.find("\n  tag 60, a scale strip: in 0 photos\n"), std::string::npos) << diagnosis;
  EXPECT_NE(diagnosis.find("\n  tag 0, a floor tag: in 1 photo\n"), std::string::npos) << diagnosis;
  EXPECT_NE(diagnosis.find("photos/one.png"), std::string::npos) << diagnosis;
  EXPECT_NE(diagnosis.find(": 0 1 2 3 4 5 6 7 10\n"), std::string::npos) << diagnosis;
}

// What was found in a photo stays, so that photos taken because of the refusal add only their own work.
TEST_F(WithSheetPhoto, KeepsWhatWasFoundInAPhotoAndNothingElse) {
  const Names before = workshop_.files();
  const Outcome first = workshop_.run({"locate", "front.toml"});
  Names kept;
  for (const std::string& file : workshop_.files())
    if (file != "diagnosis.txt" && std::find(before.begin(), before.end(), file) == before.end())
      kept.push_back(file);
  ASSERT_EQ(kept.size(), 2U);
  EXPECT_TRUE(kept[0].starts_with(".pivotfix-cache/") && kept[0].ends_with(".tags")) << kept[0];
  EXPECT_TRUE(kept[1].starts_with(".pivotfix-cache/") && kept[1].ends_with(".thumbnail")) << kept[1];
  const std::string entry = workshop_.read(kept[0]);
  for (const char* library : {" libheif ", " libpng ", " libturbojpeg ", " libexif "})
    EXPECT_LT(entry.find(library), entry.find('\n', entry.find('\n') + 1)) << library;

  const auto again = [&] {
    const Outcome outcome = workshop_.run({"locate", "front.toml"});
    EXPECT_EQ(outcome.exit_code, first.exit_code);
    EXPECT_EQ(outcome.err, first.err);
    EXPECT_EQ(workshop_.read(kept[0]), entry);
  };
  again();
  workshop_.write(kept[0], entry.substr(0, entry.size() / 2));  // damaged
  again();
  std::string stale = entry;
  stale[entry.find('\n') + 12] ^= 1;  // by other code
  workshop_.write(kept[0], stale);
  again();
  std::filesystem::copy_file(workshop_.folder() / "photos/one.png", workshop_.folder() / "photos/two.png");
  again();  // the same photo under another name
}

// A photo added later adds its own entry and leaves the others alone.
TEST_F(WithSheetPhoto, AddsOnlyTheWorkOfANewPhoto) {
  workshop_.run({"locate", "front.toml"});
  const std::filesystem::path kept = workshop_.folder() / kept_entries().at(0);
  const auto written = std::filesystem::last_write_time(kept);
  workshop_.write("photos/two.png", workshop_.read("photos/one.png") + "x");
  workshop_.run({"locate", "front.toml"});
  EXPECT_EQ(kept_entries().size(), 4U);  // tags and thumbnail of each
  EXPECT_EQ(std::filesystem::last_write_time(kept), written);
}

// An entry that says the photo shows no tag shows that it is used: the photo itself is not looked at.
TEST_F(WithSheetPhoto, BelievesWhatWasKeptUnlessToldNotTo) {
  const Outcome looked = workshop_.run({"locate", "front.toml"});
  const std::string entry = workshop_.read(kept_entries().at(0));
  const std::size_t first = entry.find('\n') + 1;
  const TagCache cache(workshop_.folder() / ".pivotfix-cache",
                       entry.substr(first, entry.find('\n', first) - first));
  const PhotoFile photo = read_photo_file(workshop_.folder() / "photos/one.png", "photos/one.png");
  ASSERT_TRUE(cache.find(photo).found);
  cache.keep(photo, {cache.find(photo).found->camera, "", {}});
  const Outcome believed = workshop_.run({"locate", "front.toml"});
  EXPECT_EQ(believed.exit_code, 4);
  EXPECT_NE(believed.err, looked.err);
  EXPECT_EQ(workshop_.run({"locate", "front.toml", "--no-cache"}).err, looked.err);
}

TEST_F(WithSheetPhoto, StopsAtTheFirstBrokenPhotoWhateverTheThreads) {
  for (const char* name : {"photos/b.png", "photos/c.png", "photos/d.png"})
    workshop_.write(name, "no picture");
  for (const char* threads : {"1", "2", "7"}) {
    const Outcome outcome = workshop_.run({"locate", "front.toml", "--threads", threads});
    EXPECT_EQ(outcome.exit_code, 3);
    EXPECT_TRUE(outcome.err.starts_with("pivotfix: photos/b.png: ")) << outcome.err;
    EXPECT_TRUE(outcome.err.ends_with(" Or go on without broken photos: --skip-broken\n")) << outcome.err;
  }
}

TEST_F(WithSheetPhoto, GoesOnWithoutBrokenPhotosWhenAsked) {
  workshop_.write("photos/b.png", "no picture");
  const Outcome outcome = workshop_.run({"locate", "front.toml", "--skip-broken"});
  EXPECT_EQ(outcome.exit_code, 4);  // tags are missing, as above
  EXPECT_TRUE(outcome.err.starts_with("pivotfix: front.toml:19:12: Tag 60 ")) << outcome.err;
}

TEST_F(WithSheetPhoto, WantsAFolderForTheResultsAndMakesItForADiagnosisToo) {
  const Outcome outcome = workshop_.run({"locate", "front.toml", "-o", "front.toml"});
  EXPECT_EQ(outcome.exit_code, 3);
  EXPECT_EQ(outcome.err,
            "pivotfix: front.toml: This is a file, and the results need a folder. Name another folder: "
            "--output FOLDER\n");
  const std::string name(300, 'a');
  const Outcome too_long = workshop_.run({"locate", "front.toml", "-o", name});
  EXPECT_EQ(too_long.exit_code, 3);
  EXPECT_EQ(too_long.err,
            "pivotfix: " + name +
                ": Cannot look at the folder: File name too long. Name another folder: --output FOLDER\n");
  EXPECT_EQ(workshop_.run({"locate", "front.toml", "-o", "results"}).exit_code, 4);
  EXPECT_TRUE(workshop_.has("results/diagnosis.txt"));
  EXPECT_FALSE(workshop_.has("diagnosis.txt"));
}

class Convert : public testing::Test {
 protected:
  Convert() { workshop_.copy_data("hand-typed-strut.json", "a.json"); }

  Workshop workshop_{};
};

TEST_F(Convert, MakesSpreadsheetAndDrawingAndReadsTheSpreadsheet) {
  EXPECT_EQ(workshop_.run({"convert", "a.json", "a.csv"}).out, "Wrote a.csv: 8 hardpoints, strut, left.\n");
  EXPECT_EQ(workshop_.run({"convert", "a.json", "a.dxf"}).exit_code, 0);
  EXPECT_NE(workshop_.read("a.dxf").find("AC1009"), std::string::npos);
  EXPECT_EQ(workshop_.run({"convert", "a.csv", "b.json", "--title", "from a spreadsheet"}).exit_code, 0);
  EXPECT_NE(workshop_.read("b.json").find("from a spreadsheet"), std::string::npos);
  ASSERT_EQ(workshop_.run({"convert", "a.csv", "c.json"}).exit_code, 0);
  const Outcome from_csv = workshop_.run({"steer", "a.csv", "--units", "mm"});
  EXPECT_EQ(from_csv.exit_code, 0) << from_csv.err;
  EXPECT_NE(from_csv.err.find("a.csv is a spreadsheet: it carries neither camber nor"), std::string::npos)
      << from_csv.err;
  EXPECT_EQ(from_csv.out, workshop_.run({"steer", "c.json", "--units", "mm"}).out);
}

TEST_F(Convert, RefusesToReplaceToGuessAndToWriteWhatItCannot) {
  ASSERT_EQ(workshop_.run({"convert", "a.json", "a.csv"}).exit_code, 0);
  const Names before = workshop_.files();
  const auto complaint = [&](const std::vector<std::string>& arguments) {
    const Outcome outcome = workshop_.run(arguments);
    EXPECT_NE(outcome.exit_code, 0);
    return outcome.err;
  };
  EXPECT_EQ(complaint({"convert", "a.json", "a.csv"}),
            "pivotfix: \"a.csv\" exists already. Choose another name, or say --force to replace it.\n");
  EXPECT_EQ(complaint({"convert", "a.json", "a.step"}),
            "pivotfix: \"a.step\": no file of this kind can be written. Known are .json, .csv for "
            "spreadsheets and .dxf for CAD.\n");
  EXPECT_EQ(complaint({"convert", "a.csv", "b.json", "--side", "right"}),
            "pivotfix: a.csv: No point lies on the right of the car: y is positive everywhere. y is positive "
            "on the left. Correct the file or the side.\n");
  EXPECT_EQ(complaint({"convert", "a.json", "b.json", "--side", "right"}),
            "pivotfix: --side: the file says left. Leave the option out.\n");
  EXPECT_EQ(workshop_.files(), before);
}

TEST(Output, ThatCannotBeWrittenIsNotSuccess) {
  const Workshop workshop;
  workshop.copy_data("hand-typed-strut.json", "a.json");
  const Outcome outcome = workshop.run({"steer", "a.json"}, "/dev/full");
  EXPECT_EQ(outcome.exit_code, 3);
  EXPECT_EQ(outcome.err, "pivotfix: The output cannot be written. Is the disk full?\n");
}

}  // namespace
}  // namespace pivotfix
