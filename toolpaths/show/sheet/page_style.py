"""How the sheet is set: black on white, for a phone held in one hand and for A4."""

PAGE_STYLE = """
@page { size: A4; margin: 12mm; }
* { box-sizing: border-box; }
body { font: 15px/1.4 sans-serif; color: #000; background: #fff; margin: 0 auto; padding: 0 12px; max-width: 200mm; }
h1 { font-size: 1.7em; margin: .4em 0 0; }
.bar { float: right; }
h2 { font-size: 1.35em; border-top: 3px solid #000; padding-top: .3em; margin: 1.4em 0 .4em; }
h3 { font-size: 1.05em; margin: 1em 0 .3em; }
p, ul { margin: .3em 0; }
section, figure { margin: 0; }
figure, li { break-inside: avoid; }
h2, h3 { break-after: avoid; }
svg { max-width: 100%; height: auto; font-family: sans-serif; }
.cautions, .judgement { border: 2px solid #000; padding: 0 .8em .4em; margin: .8em 0; }
.cautions ul { columns: 300px 2; }
.wide, .plan { overflow-x: auto; padding-right: 1px; }
table { border-collapse: collapse; width: 100%; }
th, td { border: 1px solid #767676; padding: .15em .4em; text-align: left; vertical-align: top; }
thead { background: #efebe3; }
tr { break-inside: avoid; }
.todo { list-style: none; padding: 0; }
.todo label { display: flex; gap: .6em; padding: .25em 0; }
input[type=checkbox] { width: 24px; height: 24px; margin: 0; flex: none; accent-color: #000; }
.blank { display: inline-block; min-width: 7em; border-bottom: 1px solid #000; height: 1.2em; vertical-align: 1px; }
.blank.short { min-width: 3em; }
.number { white-space: nowrap; }
.write { white-space: nowrap; }
.cutters { display: flex; flex-wrap: wrap; gap: 1em; }
.cutters figure { width: 46mm; font-size: .9em; }
.turning { display: flex; flex-wrap: wrap; gap: 0 1em; }
.turning svg { flex: none; }
.turning ul { flex: 1 1 220px; }
td:last-child { overflow-wrap: anywhere; }
.reliefs { display: flex; flex-wrap: wrap; gap: 1em; }
.reliefs figure { flex: 1 1 300px; }
img { max-width: 100%; }
.key { display: inline-block; margin-right: 1.2em; white-space: nowrap; }
@media (max-width: 640px) {
  .plan svg { min-width: 800px; }
  .bar { display: none; }
  th, td { padding: .15em .25em; }
  .order, .measured { font-size: .82em; }
  .measured .blank { min-width: 4.5em; }
  .measured .blank.short { min-width: 2.2em; }
}
@media print {
  body { font-size: 8.5pt; font-size-adjust: .5; line-height: 1.25; padding: 0; max-width: none; }
  article { break-before: page; }
  section { break-inside: avoid; }
  .long { break-inside: auto; }
  .cautions, .judgement { margin: .4em 0; }
  h3 { margin-top: .5em; }
  input[type=checkbox] { width: 3.5mm; height: 3.5mm; }
  .todo label { padding: .05em 0; }
  th, td { padding: .03em .4em; }
  .blank { height: 1em; }
  .reliefs img { max-height: 60mm; }
  .cutters { gap: .5em; }
  .cutters figure { width: 43mm; }
  .turning ul { flex-basis: 60mm; }
  .wide, .plan { overflow: visible; }
  thead { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
}
"""
