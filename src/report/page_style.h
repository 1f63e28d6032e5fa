// SPDX-License-Identifier: Apache-2.0
// The page's style sheet. Colours are of the palette by Okabe and Ito ("Color Universal Design", 2008), which
// people with any colour vision can tell apart; every line also has its own dash pattern.
#pragma once

namespace pivotfix::report {

inline constexpr const char* page_style = R"css(
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 1rem; max-width: 68rem; background: #fff; color: #1a1a1a;
  font: 1rem/1.45 system-ui, "Segoe UI", Roboto, "Helvetica Neue", Arial, sans-serif; }
h1 { font-size: 1.2rem; margin: 0; }
h2 { font-size: 1.25rem; margin: 2rem 0 .6rem; padding-top: .5rem; border-top: 2px solid #1a1a1a; }
p { margin: .4rem 0; }
.sub, .note, figcaption, footer { color: #4a4a4a; font-size: .9rem; }
tbody th, td:not(.number) { min-width: 6.5em; }
.number + td:not(.number), .number + th:not(.number) { padding-left: .6rem; }
.answer { border-left: .4rem solid #0072b2; padding: .1rem 0 .1rem 1rem; margin: 1rem 0; }
.answer p { font-size: 1.1rem; }
.answer p.first { font-size: 1.45rem; line-height: 1.3; font-weight: 650; }
.caution { border: 2px solid #d55e00; border-radius: .3rem; padding: .5rem .8rem; margin: 1rem 0; }
.warnings { border: 1px solid #8a8a8a; border-radius: .3rem; padding: .4rem .8rem; margin: 1rem 0; }
.warnings ul { margin: .3rem 0; }
ul { margin: .4rem 0; padding-left: 1.3rem; }
li { margin: .2rem 0; }
.columns { columns: 15rem; font-size: .9rem; overflow-wrap: anywhere; }
.pair { display: grid; gap: 1rem 2rem; grid-template-columns: repeat(auto-fit, minmax(min(100%, 24rem), 1fr)); }
.pair > * { min-width: 0; }
figure { margin: .6rem 0; }
figure > b { display: block; }
.wide { overflow-x: auto; margin: .8rem 0; }
table { border-collapse: collapse; width: 100%; font-size: .95rem; }
caption { text-align: left; font-weight: 650; padding: .2rem 0; }
th, td { text-align: left; vertical-align: top; padding: .3rem .6rem .3rem 0; border-bottom: 1px solid #cfcfcf; }
thead th { border-bottom: 2px solid #1a1a1a; }
tbody th { font-weight: 400; }
.number { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
.key { list-style: none; padding: 0; display: flex; flex-wrap: wrap; gap: .2rem 1.2rem; font-size: .9rem; }
.key svg { display: inline-block; width: 2.6rem; height: .9rem; vertical-align: middle; margin-right: .4rem; }
svg { display: block; width: 100%; height: auto; font-family: inherit; }
.sheet svg { max-width: 34rem; }
svg text { fill: #1a1a1a; font-size: 13px; paint-order: stroke; stroke: #fff; stroke-width: 3px; stroke-linejoin: round; }
svg .small { font-size: 11.5px; fill: #4a4a4a; }
svg .tick { font-size: 11.5px; font-variant-numeric: tabular-nums; }
svg .strong { font-weight: 650; }
svg .heading { font-size: 15px; font-weight: 650; }
line, polyline { fill: none; stroke: #1a1a1a; stroke-width: 1; }
.now { stroke: #d55e00; stroke-width: 3.2; }
.after { stroke: #0072b2; stroke-width: 3.2; stroke-dasharray: 9 4; }
.best { stroke: #009e73; stroke-width: 2.2; stroke-dasharray: 9 3 2 3; }
.rule { stroke: #a8588c; stroke-width: 2.2; stroke-dasharray: 2 3; }
.band-now { fill: #d55e00; fill-opacity: .2; stroke: none; }
.band-after { fill: #0072b2; fill-opacity: .2; stroke: none; }
.frame { fill: none; stroke: #8a8a8a; }
.grid { stroke: #e0e0e0; }
.axis { stroke: #4a4a4a; stroke-width: 1.2; }
.inch { stroke: #8a8a8a; stroke-dasharray: 4 4; }
.ground { stroke: #4a4a4a; stroke-width: 2.5; }
.tyre { fill: #f1f1f1; stroke: #b0b0b0; stroke-linejoin: round; stroke-width: 2; }
.rim { fill: #fff; stroke: #b0b0b0; }
.knuckle { fill: #d9d9d9; fill-opacity: .7; stroke: #8a8a8a; stroke-width: 2; stroke-linejoin: round; }
.arm { stroke: #333; stroke-width: 5; stroke-linecap: round; }
.strut { stroke: #333; stroke-width: 5; stroke-linecap: round; }
.joint { fill: #fff; stroke: #1a1a1a; stroke-width: 1.5; }
.joint-now { fill: #d55e00; stroke: #fff; stroke-width: 1.2; }
.joint-after { fill: #fff; stroke: #0072b2; stroke-width: 2; }
.construction { stroke: #8a8a8a; stroke-dasharray: 2 4; }
.centre-line { stroke: #1a1a1a; stroke-width: 1.6; stroke-dasharray: 12 4 2 4; }
.arm-direction { stroke: #6a6a6a; stroke-width: 2; stroke-dasharray: 2 3; }
.instant-centre { fill: none; stroke: #1a1a1a; stroke-width: 1.5; }
.angle-arc { stroke: #1a1a1a; stroke-width: 1.2; }
.scale-bar { stroke: #1a1a1a; stroke-width: 2; }
.contour { stroke: #0072b2; stroke-width: 1.4; }
.contour-zero { stroke: #0072b2; stroke-width: 3; }
.leader { stroke: #8a8a8a; stroke-width: .8; }
.level { stroke: #4a4a4a; stroke-width: .9; stroke-dasharray: 3 3; }
.taken { fill: #b0b0b0; stroke: none; }
.shot { fill: #fff; stroke: #0072b2; stroke-width: 2; }
.move { stroke: #0072b2; stroke-width: 2; }
.part-arm { fill: #8a8a8a; stroke: #1a1a1a; }
.part-rod-end { fill: #dedede; stroke: #1a1a1a; }
.part-ball { fill: #fff; stroke: #1a1a1a; }
.part-spacer { fill: #56b4e9; stroke: #1a1a1a; }
.part-other { fill: #f0e442; stroke: #1a1a1a; }
.part-nut { fill: #b5b5b5; stroke: #1a1a1a; }
.part-bolt { fill: #f4f4f4; stroke: #6a6a6a; }
@media print {
  @page { margin: 12mm; }
  html { font-size: 9.5pt; }
  body { padding: 0; max-width: none; line-height: 1.3; }
  h2 { margin: .7rem 0 .2rem; padding-top: .3rem; font-size: 1.15rem; break-after: avoid; }
  .caution, .warnings { margin: .5rem 0; padding: .3rem .7rem; }
  .pair, table { break-inside: avoid; }
  .sheet svg[role] { max-width: 6.6cm; }
  .key { gap: 0 1rem; font-size: .85rem; margin: .2rem 0; }
  .key li { margin: .1rem 0; }
  tbody th, td:not(.number) { min-width: 0; }
  figure, tr, .caution, .warnings, .answer { break-inside: avoid; }
  .pair { grid-template-columns: 1fr 1fr; }
  .wide { overflow: visible; margin: .4rem 0; }
  table { font-size: 8.5pt; }
  th, td { padding: .12rem .5rem .12rem 0; }
  .columns { columns: 3; column-gap: 1rem; font-size: 7pt; line-height: 1.25; padding-left: 1rem; }
  .columns li { margin: 0; }
  details { display: none; }
  .answer { margin: .5rem 0; }
  .answer p.first { font-size: 13pt; }
  .answer p { font-size: 10.5pt; }
  svg, .band-now, .band-after { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
}
)css";

}  // namespace pivotfix::report
