#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""The report in a real browser: python3 page_test.py PROGRAM JOB CHROMIUM CHROMEDRIVER

What the page shows is held against what `pivotfix steer` prints on the terminal for the same hardpoints. With
PIVOTFIX_WRITE_SCREENSHOTS=folder pictures of the whole page are written there for the eye.
"""
import json
import os
import re
import subprocess
import sys
import tempfile
import unittest

from browser import Browser, print_to_pdf

LARGEST_BYTES = 6_000_000
USUAL_PHOTOS = 40
MOST_BYTES_OF_PHOTOS = 4_000_000  # 40 thumbnails as base64, see src/cli/thumbnails.cc
ATTACK = "</title></script><script>window.hacked=1</script><img src=x onerror='window.hacked=1'>\"'&amp;]]>"


def number(text):
    """The first number of a cell, or None: "−0.377 ± 0.016" is -0.377."""
    found = re.search(r"[-−]?\d+(\.\d+)?", text)
    return float(found.group().replace("−", "-")) if found else None


def toe_table(steer_output, heading):
    """{travel cell: {column: toe}} of the table that follows `heading`."""
    lines = steer_output.split(heading, 1)[1].split("\n")[1:]
    heads = re.split(r"\s{2,}", lines[0].strip())
    table = {}
    for line in lines[1:]:
        cells = re.split(r"\s{2,}", line.strip())
        if len(cells) != len(heads):
            break
        table[cells[0]] = dict(zip(heads[1:], map(number, cells[1:])))
    return table


class Page(unittest.TestCase):
    folder = None  # of the results, set by main, as are these
    program = job = chromium = chromedriver = report = None

    @classmethod
    def setUpClass(cls):
        cls.browser = Browser(cls.chromium, cls.chromedriver)
        cls.browser.open(cls.report)
        cls.hardpoints = os.path.join(cls.folder, "hardpoints.json")
        cls.steer = cls.steer_output()

    @classmethod
    def tearDownClass(cls):
        cls.browser.__exit__()

    @classmethod
    def steer_output(cls, *options):
        return subprocess.run([cls.program, "steer", cls.hardpoints, *options], check=True,
                              capture_output=True, text=True).stdout

    def setUp(self):
        self.addCleanup(lambda: self.assertEqual(self.browser.complaints(), []))

    def choose(self, index):
        self.browser.run("""const slider = document.getElementById("choice");
            slider.value = arguments[0]; slider.dispatchEvent(new Event("input"));""", index)

    def data(self, expression):
        return self.browser.run('return JSON.parse(document.getElementById("data").textContent)' + expression)

    def shown_toe(self):
        """{travel cell: toe cell} of the column that follows the slider, in millimetres."""
        return self.browser.run("""const cells = document.querySelectorAll('td[data-live="toe-mm"]');
            return Object.fromEntries([...cells].map((cell) =>
              [cell.parentElement.firstChild.textContent.replaceAll("−", "-"), cell.textContent]));""")

    def drawn_toe(self):
        """[[travel in mm, toe in degrees], ...] read off the curve as drawn, by its axes' own labels."""
        return self.browser.run("""
            const svg = document.getElementById("toe-curve");
            const number = (text) => Number(text.textContent.replace("−", "-"));
            const bottom = Number(svg.querySelector("rect.frame").getAttribute("y")) +
                           Number(svg.querySelector("rect.frame").getAttribute("height"));
            const below = [...svg.querySelectorAll("text.tick")].filter((text) =>
              text.getAttribute("text-anchor") === "middle" && text.getAttribute("y") > bottom);
            const beside = [...svg.querySelectorAll(".unit-mm text.tick")].filter((text) =>
              text.textContent !== "ride");
            const scale = (texts, axis, shift) => {
              const at = (text) => Number(text.getAttribute(axis)) - shift;
              const [a, b] = [texts[0], texts[texts.length - 1]];
              const step = (number(b) - number(a)) / (at(b) - at(a));
              return (place) => number(a) + (place - at(a)) * step;
            };
            const toe = scale(below, "x", 0), travel = scale(beside, "y", 4.5);
            return svg.querySelector(".chosen polyline.after").getAttribute("points").split(" ").map((point) => {
              const [x, y] = point.split(",").map(Number);
              return [travel(y), toe(x)];
            });""")

    def test_page_asks_for_nothing_from_outside(self):
        self.assertEqual(self.browser.run("""return performance.getEntriesByType("resource")
            .map((entry) => entry.name).filter((name) => !name.startsWith("data:"));"""), [])

    def test_answer_and_stack_are_in_the_first_screen(self):
        ends = self.browser.run("""scrollTo(0, 0); return ["p.first", "#stack"].map((what) =>
            document.querySelector(what).getBoundingClientRect().bottom);""")
        self.assertLess(max(ends), self.browser.run("return innerHeight"))

    def test_chosen_stack_shows_what_steer_prints(self):
        self.choose(self.data(".suggested"))
        printed = toe_table(self.steer, "degrees (toe-in positive)")
        shown = self.shown_toe()
        self.assertEqual(sorted(shown), sorted(printed))
        for travel, cell in shown.items():
            self.assertEqual(number(cell), printed[travel]["chosen stack"], travel)

    def test_slider_moves_curve_table_and_inch_to_what_steer_prints(self):
        count = len(self.data(".choices"))
        self.assertGreater(count, 3)
        for index in sorted({0, count // 3, self.data(".now"), count - 1}):
            self.choose(index)
            height = self.data(f".choices[{index}].rod_end_mm")
            output = self.steer_output("--what-if", f"rod-end={height:.4f}mm")
            printed = toe_table(output, "Toe change with today's spacers, degrees (toe-in positive)")
            shown = self.shown_toe()
            self.assertEqual(sorted(shown), sorted(printed))
            for travel, cell in shown.items():
                self.assertAlmostEqual(number(cell), printed[travel]["case 1"], delta=0.0011, msg=travel)
            drawn = self.drawn_toe()
            self.assertGreater(len(drawn), 10)
            wide = max(abs(toe) for _, toe in drawn)
            for travel, cells in printed.items():
                at = 0.0 if travel == "ride" else number(travel)
                near = min(drawn, key=lambda point: abs(point[0] - at))
                if abs(near[0] - at) < 0.3:
                    self.assertAlmostEqual(near[1], cells["case 1"], delta=0.002 + 0.01 * wide, msg=travel)
            inch = printed["+25.4 (1 in)"]["case 1"]
            words = self.browser.run("""return document.querySelector('#choice-words .unit-mm ~ [data-live="figures-mm"],'
                + '#choice-words [data-live="figures-mm"]').textContent;""")
            first = re.search(r"First inch of bump: (no toe change|([\d.]+)° (toe-in|toe-out))", words)
            value = 0.0 if first.group(2) is None else float(first.group(2)) * (1 if first.group(3) == "toe-in" else -1)
            self.assertAlmostEqual(value, inch, delta=0.0056)
        self.choose(self.data(".suggested"))

    def test_stack_drawing_follows_the_slider(self):
        def drawn():
            return self.browser.run("""const seen = [...document.querySelectorAll("#stack .choice")]
                .filter((group) => getComputedStyle(group).display !== "none");
                return [seen.length, [...seen[0].querySelectorAll("rect.part-spacer")].length,
                        seen[0].getBBox().height > 0];""")
        for index in (0, len(self.data(".choices")) - 1):
            self.choose(index)
            between = self.data(f'.live["choice-mm"][{index}][0]')
            counts = [int(n) for n in re.findall(r"(\d+) ×", between.split(" between")[0])]
            self.assertEqual(drawn(), [1, sum(counts), True], between)
        self.choose(self.data(".suggested"))

    def test_slider_and_buttons_work_from_the_keyboard(self):
        chosen = lambda: int(self.browser.run("return document.body.dataset.choice"))
        self.choose(self.data(".suggested"))
        before = chosen()
        self.browser.keys("#choice", "\ue014" if before == 0 else "\ue012")  # arrow right, left
        self.assertEqual(abs(chosen() - before), 1)
        self.browser.keys("#choice-now", "\ue007")  # enter
        self.assertEqual(chosen(), self.data(".now"))
        self.browser.keys("#choice-suggested", " ")
        self.assertEqual(chosen(), self.data(".suggested"))

    def test_units_switch_every_length(self):
        def shown():
            return self.browser.run("""return [...document.querySelectorAll("caption")]
                .filter((caption) => caption.offsetParent && caption.textContent.startsWith("Hardpoints"))
                .map((caption) => [caption.textContent.split(" ")[1].replace(",", ""),
                  caption.parentElement.querySelector("td").textContent]);""")
        sizes = {}
        for unit, per_mm in (("in", 1 / 25.4), ("thou", 1000 / 25.4), ("mm", 1.0)):
            self.browser.click(f'#units input[value="{unit}"]')
            tables = shown()
            self.assertEqual([table[0] for table in tables], [unit])
            sizes[unit] = number(tables[0][1]) / per_mm
            heads = self.browser.run("""return [...document.querySelectorAll("th")]
                .filter((head) => head.offsetParent && head.textContent.startsWith("travel, "))
                .map((head) => head.textContent);""")
            self.assertEqual(set(heads), {"travel, " + unit})
        self.assertAlmostEqual(sizes["in"], sizes["mm"], delta=0.02)
        self.assertAlmostEqual(sizes["thou"], sizes["mm"], delta=0.02)

    def test_slider_is_read_out_in_the_unit_that_is_shown(self):
        for unit in ("in", "thou", "mm"):
            self.browser.click(f'#units input[value="{unit}"]')
            read_out, seen = self.browser.run("""return [
                document.getElementById("choice").getAttribute("aria-valuetext"),
                document.getElementById("choice-words").innerText];""")
            self.assertEqual(read_out, seen)
            self.assertRegex(read_out, rf"^Rod end (\d[\d.]* {unit} (higher|lower)|stays where it is)")

    def test_view_in_space_turns_and_the_wheel_moves(self):
        def paths():
            return self.browser.run("""return [...document.querySelectorAll("#space path")]
                .map((path) => path.getAttribute("d")).join();""")
        first = paths()
        self.assertGreater(len(first), 2000)
        self.assertNotIn("NaN", first)
        self.browser.keys("#space", "\ue012")
        turned = paths()
        self.assertNotEqual(turned, first)
        self.browser.drag("#space", 80, 20)
        dragged = paths()
        self.assertNotEqual(dragged, turned)
        self.browser.click('[data-view="ahead"]')
        ahead = paths()
        self.browser.click('[data-view="above"]')
        self.assertNotEqual(paths(), ahead)
        self.browser.click('[data-view="ahead"]')
        self.assertEqual(paths(), ahead)
        self.browser.keys("#travel", "\ue010")  # end: full bump
        self.assertNotEqual(paths(), ahead)
        self.assertNotIn("NaN", paths())
        self.assertIn("bump", self.browser.run('return document.getElementById("travel-words").textContent'))
        labels = self.browser.run("""return [...document.querySelectorAll("#space text")]
            .map((text) => text.textContent);""")
        self.assertIn("link outer joint", labels)

    def test_view_in_space_moves_by_buttons_for_who_has_no_keys(self):
        def places():
            """Where the wheel's centre and the link's outer joint stand in the picture."""
            return self.browser.run("""const frame = document.getElementById("space").getBoundingClientRect();
                return ["wheel centre", "link outer joint"].map((name) => {
                  const label = [...document.querySelectorAll("#space text")]
                      .find((text) => text.textContent === name).getBoundingClientRect();
                  return [label.left - frame.left, label.top - frame.top]; });""")

        def apart():
            (left, top), (other_left, other_top) = places()
            return ((left - other_left) ** 2 + (top - other_top) ** 2) ** 0.5

        self.browser.click('[data-view="side"]')
        far = apart()
        self.browser.click('[data-move="nearer"]')
        near = apart()
        self.assertGreater(near, 1.2 * far)
        self.browser.click('[data-move="further"]')
        self.assertAlmostEqual(apart(), far, delta=1.0)
        level = places()
        self.browser.click('[data-move="higher"]')
        self.assertNotEqual(places(), level)
        self.browser.click('[data-move="lower"]')
        for place, before in zip(places(), level):
            self.assertAlmostEqual(place[0], before[0], delta=1.0)
            self.assertAlmostEqual(place[1], before[1], delta=1.0)

    def test_photos_are_there_with_their_tags(self):
        photos, pictures, tags = self.browser.run("""return [
            JSON.parse(document.getElementById("data").textContent).space.stations.length,
            document.querySelectorAll(".gallery svg image").length,
            document.querySelectorAll(".gallery .tag-used").length];""")
        self.assertGreaterEqual(pictures, photos)
        self.assertGreater(tags, 4 * photos)
        self.assertTrue(self.browser.run("""return Promise.all([...document.querySelectorAll(".gallery image")]
            .map((image) => { const copy = new Image(); copy.src = image.getAttribute("href");
              return copy.decode(); })).then(() => true);"""))

    def test_prints_on_at_most_four_pages(self):
        pdf = os.path.join(self.folder, "report.pdf")
        print_to_pdf(self.chromium, self.report, pdf)
        described = subprocess.run(["pdfinfo", pdf], check=True, capture_output=True, text=True).stdout
        self.assertLessEqual(int(re.search(r"Pages:\s+(\d+)", described).group(1)), 4)
        words = subprocess.run(["pdftotext", pdf, "-"], check=True, capture_output=True, text=True).stdout
        self.assertIn("does not certify", words)

    def test_weighs_at_most_six_megabytes_with_forty_photos(self):
        with open(self.report, encoding="utf-8") as file:
            html = file.read()
        photos = re.findall(r"data:image/jpeg;base64,[A-Za-z0-9+/=]*", html)
        rest = len(html.encode()) - sum(map(len, photos))
        self.assertLessEqual(max(map(len, photos)), MOST_BYTES_OF_PHOTOS / USUAL_PHOTOS + 100)
        self.assertLessEqual(rest + MOST_BYTES_OF_PHOTOS, LARGEST_BYTES)

    def test_what_names_hold_is_never_run(self):
        with open(self.hardpoints, encoding="utf-8") as file:
            hardpoints = json.load(file)
        hardpoints["title"] = ATTACK
        for point in hardpoints["hardpoints"].values():
            point["way"] = ATTACK
        for spacer in hardpoints["rod_end"]["stock"] + hardpoints["rod_end"]["between_now"]:
            spacer["label"] = ATTACK
        attack = os.path.join(self.folder, "attack.json")
        with open(attack, "w", encoding="utf-8") as file:
            json.dump(hardpoints, file)
        report = os.path.join(self.folder, "attack.html")
        subprocess.run([self.program, "steer", attack, "--report", report, "--force"], check=True,
                       capture_output=True)
        self.browser.open(report)
        try:
            self.assertIsNone(self.browser.run("return window.hacked ?? null"))
            self.assertIn("<script>", self.browser.run('return document.querySelector("h1").textContent'))
            self.assertTrue(self.browser.run('return !document.getElementById("units").hidden'))
        finally:
            self.browser.open(self.report)

    def test_fits_a_phone(self):
        with Browser(self.chromium, self.chromedriver, phone=True) as phone:
            phone.open(self.report)
            self.assertEqual(phone.complaints(), [])
            self.assertLessEqual(*phone.run("""return [document.documentElement.scrollWidth, innerWidth]"""))
            self.assertLess(phone.run('return document.querySelector("p.first").getBoundingClientRect().bottom'), 844)
            self.write_screenshot(phone, "report-phone.jpg", [0, 0, 390, 1300])
        top, height = self.browser.run("""const place = document.getElementById("space-section")
            .getBoundingClientRect(); return [place.top + scrollY, place.height];""")
        self.write_screenshot(self.browser, "report-desktop.jpg", [0, 0, 1280, 1000])
        self.write_screenshot(self.browser, "report-space.jpg", [80, top, 1120, height])
        self.write_screenshot(self.browser, "report-whole.jpg")

    @staticmethod
    def write_screenshot(browser, name, clip=None):
        folder = os.environ.get("PIVOTFIX_WRITE_SCREENSHOTS")
        if folder:
            browser.screenshot(os.path.join(folder, name), clip, 0.75 if clip else 0.5)


def main():
    program, job, chromium, chromedriver = sys.argv[1:5]
    with tempfile.TemporaryDirectory(prefix="pivotfix-page-") as folder:
        subprocess.run([program, "run", job, "-o", folder, "--no-cache"], check=True, stdout=subprocess.DEVNULL)
        Page.program, Page.job, Page.folder = program, job, folder
        Page.chromium, Page.chromedriver = chromium, chromedriver
        Page.report = os.path.join(folder, "report.html")
        unittest.main(argv=[sys.argv[0], *sys.argv[5:]], verbosity=2)


if __name__ == "__main__":
    main()
