"""How the report looks: ink on paper, one column, large verdict, figures that print."""

# Contrast of every text colour on its ground is at least 4.5 : 1 (WCAG 2.2, success criterion 1.4.3).
CSS = """
:root {
  --paper: #fbf8f0; --ink: #2a2926; --quiet: #5f5a50; --line: #d9d1bf; --wash: #f1ebdc; --indigo: #2c4a6b;
  --fits: #2c643c; --tight: #983a1c; --loose: #6f5600; --open: #8a1c2e; --none: #5f5a50;
}
* { box-sizing: border-box; }
html { background: var(--paper); color: var(--ink); }
body { margin: 0 auto; max-width: 60rem; padding: 2.5rem 1.5rem 4rem;
  font: 1rem/1.55 system-ui, -apple-system, "Segoe UI", "Noto Sans", sans-serif; }
h1, h2, .verdict strong { font-family: "Iowan Old Style", "Palatino Linotype", Palatino, Georgia, serif;
  font-weight: 600; }
h1 { font-size: 1.15rem; margin: 0; color: var(--quiet); font-weight: 400; }
h2 { font-size: 1.35rem; margin: 3rem 0 .75rem; padding-bottom: .3rem; border-bottom: 1px solid var(--line); }
p { margin: .5rem 0; }
.quiet, figcaption, caption { color: var(--quiet); }

.verdict { display: flex; align-items: center; gap: 1.25rem; margin: .75rem 0 0; padding: 1.25rem 1.5rem;
  border: 1px solid var(--line); border-left: .6rem solid var(--tone); background: #fffdf8; }
.verdict svg { flex: none; width: 4rem; height: 4rem; color: var(--tone); }
.verdict strong { display: block; font-size: 2.4rem; line-height: 1.15; color: var(--tone); }
.verdict p { margin: .25rem 0 0; }
.is-fits { --tone: var(--fits); } .is-tight { --tone: var(--tight); } .is-loose { --tone: var(--loose); }
.is-open { --tone: var(--open); } .is-none { --tone: var(--none); }

ol.change { margin: 0; padding: 0; list-style: none; counter-reset: change; }
ol.change li { counter-increment: change; display: grid; grid-template-columns: 2.2rem 1fr auto; gap: .25rem .75rem;
  align-items: baseline; padding: .7rem 0; border-bottom: 1px dotted var(--line); }
ol.change li::before { content: counter(change); font: 600 1.3rem/1 Georgia, serif; color: var(--indigo); }
ol.change .by { white-space: nowrap; font-weight: 600; font-variant-numeric: tabular-nums; color: var(--indigo); }

.ease { display: grid; grid-template-columns: 7rem 1fr 7.5rem; gap: .35rem 1rem; align-items: center; }
.ease svg { width: 100%; height: auto; overflow: visible; }
.tone { color: var(--tone); font-weight: 600; white-space: nowrap; }
.key { display: flex; flex-wrap: wrap; gap: .25rem 1.5rem; font-size: .88rem; margin-top: .6rem; }
.key i { display: inline-block; width: 1.6rem; height: .75rem; margin-right: .4rem; vertical-align: -1px; }
.key .band { background: #cfdcc4; border: 1px solid #7f9a6e; }
.key .mark { width: 0; height: 1rem; border-left: 4px solid var(--ink); vertical-align: -3px; }

.pictures { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(12.5rem, 45%), 1fr)); gap: 1rem; }
.pictures figure.wide { grid-column: 1 / -1; }
figure { margin: 0; break-inside: avoid; }
figure img { display: block; width: 100%; height: auto; background: #fff; border: 1px solid var(--line); }
figcaption { font-size: .88rem; margin-top: .3rem; }

.scroll { overflow-x: auto; }
table { width: 100%; border-collapse: collapse; font-size: .93rem; break-inside: auto; }
caption { text-align: left; font-size: .88rem; padding: .2rem 0 .4rem; }
th, td { padding: .38rem 1.1rem .38rem 0; text-align: left; vertical-align: baseline;
  border-bottom: 1px solid var(--line); }
thead th { font-weight: 600; color: var(--quiet); font-size: .85rem; border-bottom: 2px solid var(--line); }
tbody th { font-weight: 600; white-space: nowrap; } tbody th small { font-weight: 400; color: var(--quiet); }
td.n { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }
th.n { text-align: right; }
td small { display: inline-block; min-width: 5rem; color: var(--quiet); }
.stacked td.n small, .by small { display: block; min-width: 0; }
.by { text-align: right; }
tr { break-inside: avoid; }
ul { padding-left: 1.2rem; margin: .5rem 0; }
.care { background: var(--wash); padding: .8rem 1.2rem; margin-top: 3rem; }
.care h2 { margin: 0 0 .4rem; border: 0; font-size: 1.1rem; }

@media (max-width: 40rem) {
  .ease { grid-template-columns: 1fr auto; margin-bottom: .6rem; } .ease svg { grid-column: 1 / -1; grid-row: 2; }
  ol.change li { grid-template-columns: 2.2rem 1fr; } ol.change .by { grid-column: 2; }
}
@media print {
  @page { margin: 15mm; }
  html { background: #fff; } body { padding: 0; max-width: none; font-size: 10pt; }
  .verdict, .care { background: #fff; } .care { border: 1px solid var(--line); }
  * { -webkit-print-color-adjust: exact; print-color-adjust: exact; }
  h2 { break-after: avoid; margin-top: 1.6rem; } .stacked { break-inside: avoid; }
  .pictures { grid-template-columns: repeat(4, 1fr); }
  .scroll { overflow: visible; } table { font-size: .85em; } th, td { padding-right: .7rem; }
}
"""

# One sign for each verdict, so that nobody has to tell it by its colour: cloth (solid) about a body (dotted).
SIGNS = {
    "fits": '<circle cx="32" cy="32" r="26"/><path d="M19 33l9 9 17-19"/>',
    "tight": '<circle cx="32" cy="32" r="26"/><path d="M12 32h14m-5-5l5 5-5 5M52 32H38m5-5l-5 5 5 5"/>',
    "loose": '<circle cx="32" cy="32" r="26"/><path d="M29 32H14m5-5l-5 5 5 5M35 32h15m-5-5l5 5-5 5"/>',
    "open": '<path d="M22 8.5A26 26 0 1 0 42 8.5"/><path d="M32 20v14m0 8v3"/>',
}
