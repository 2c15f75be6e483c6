/* The look of the pages: a printed part. Paper, ink, one warm accent; hairlines and the thin-thick
 * line of a final bar; a system serif. The sheet has three palettes (light, dark, print) of the
 * same names; tests/report/test_page_colours.c holds them to the contrast they need. Nothing is
 * loaded from anywhere and nothing runs. Main thread. */
#include "report/page_sheet.h"

#include "report/page_words.h"

#define PAGE_TAB_MOST 50 /* of a name in the browser's tab */

static const char *const colours[] = {
    ":root{color-scheme:light dark;--paper:#fffdf8;--ink:#1d1a16;--soft:#5f574c;--hair:#8d8374;"
    "--accent:#a23b17;--wash:#f0e0cd}",
    "@media (prefers-color-scheme:dark){:root{--paper:#1a1714;--ink:#efe8dc;--soft:#b9af9f;"
    "--hair:#80766a;--accent:#f0986a;--wash:#45301f}}",
    "@media print{:root{color-scheme:light;--paper:#ffffff;--ink:#000000;--soft:#3d3d3d;"
    "--hair:#808080;--accent:#8a2c0c;--wash:#e6e0da}}",
};

static const char *const text_rules[] = {
    "*{box-sizing:border-box}",
    "html{-webkit-text-size-adjust:100%;text-size-adjust:100%}",
    "body{margin:0;background:var(--paper);color:var(--ink);font:1rem/1.5 \"Iowan Old Style\","
    "\"Palatino Linotype\",Palatino,\"URW Palladio L\",P052,\"TeX Gyre Pagella\",\"Book Antiqua\","
    "Georgia,\"Noto Serif\",serif;font-variant-numeric:lining-nums tabular-nums;"
    "overflow-wrap:break-word}",
    "main{max-width:45.2rem;margin:0 auto;padding:clamp(1.25rem,5vw,3.5rem) 1rem}",
    "h1,h2,h3{font-weight:400;line-height:1.2;margin:0;overflow-wrap:anywhere}",
    "h1{font-size:clamp(1.5rem,5vw,2.1rem);letter-spacing:.02em}",
    "h2{font-size:clamp(1.35rem,4.5vw,1.75rem);text-align:center;text-wrap:balance}",
    "h3{font-size:1rem;font-style:italic}",
    "p{margin:.4rem 0}",
    "a{color:inherit;text-decoration-thickness:1px;text-underline-offset:.18em}",
    "a:focus-visible,summary:focus-visible{outline:2px solid var(--accent);outline-offset:3px}",
    ".top{display:grid;grid-template-columns:1fr auto 1fr;gap:0 1.2rem;align-items:end;"
    "padding-bottom:.5rem}",
    ".top p{margin:0;font-size:.95rem;overflow-wrap:anywhere}",
    ".top h1{grid-column:2}",
    ".top p:last-child{grid-column:3;text-align:right}",
    ".end{height:6px;border:0;border-top:1px solid var(--ink);border-bottom:3px solid var(--ink);"
    "margin:0 0 1.6rem}",
    ".piece{text-align:center;font-style:italic;color:var(--soft);margin:.2rem 0 0;"
    "overflow-wrap:anywhere}",
    ".sign-on{display:flex;flex-wrap:wrap;justify-content:space-between;gap:0 1.5rem;"
    "margin:.7rem 0 .1rem}",
    ".sign-on b{font-weight:700}",
    ".stand{font-size:1.06rem;text-wrap:pretty}",
    ".soft,.facts,figcaption,.care{color:var(--soft)}",
    ".facts,.care{font-size:.9rem;text-wrap:pretty}",
    ".passage,.overview{margin:0 0 4rem;scroll-margin-top:1rem}",
    ".care{border-top:1px solid var(--hair);padding-top:.7rem;text-wrap:pretty}",
};

static const char *const drawing_rules[] = {
    "figure{margin:1.1rem 0 0}",
    "figcaption{font-size:.85rem;line-height:1.4}",
    "figcaption h3,figcaption p{display:inline}",
    "figcaption h3{margin-right:.5rem}",
    "svg{display:block;max-width:100%;height:auto;overflow:visible}",
    "svg text{font-size:10px;fill:var(--soft)}",
    "svg .e{text-anchor:end}",
    "svg .m{text-anchor:middle}",
    "svg .n{font-size:9px;paint-order:stroke;stroke:var(--paper);stroke-width:2.4}",
    "svg .h{font-size:10.5px;fill:var(--ink)}",
    "svg .i{font-style:italic}",
    "svg .b{font-weight:700;fill:var(--ink)}",
    "svg path,svg rect{fill:none;stroke:var(--ink);stroke-width:1}",
    "svg .st{stroke:var(--hair);stroke-width:.6}",
    "svg .bar{stroke:var(--ink);stroke-width:.8}",
    "svg .fin{stroke-width:2.6}",
    "svg .tg{stroke-width:1.8}",
    "svg .tg2{stroke-width:.6}",
    "svg .go{stroke:var(--soft);stroke-width:.8}",
    "svg .cl{stroke-width:6.4;stroke-linecap:round}",
    "svg .cs{stroke-width:4.2;stroke-linecap:round}",
    "svg .ms{fill:var(--paper);stroke-width:1.15}",
    "svg .ct{stroke-width:3.2;stroke-linecap:round}",
    "svg .mt{fill:var(--paper);stroke-width:.8}",
    "svg .un{stroke-width:1.5}",
    "svg .ful{fill:var(--ink);stroke:none}",
    "svg .open{fill:var(--paper);stroke-width:.8}",
    "svg .band{fill:var(--wash);stroke:var(--accent);stroke-width:.6}",
    "svg .sec{stroke:var(--accent);stroke-width:1.6;stroke-linejoin:round}",
    "svg .dia{fill:var(--paper);stroke:var(--accent);stroke-width:1.3}",
    ".system{display:flex;flex-wrap:wrap;margin-top:.5rem}",
    ".system svg{flex:none;margin-bottom:.55rem}",
    ".signs{display:flex;flex-wrap:wrap;gap:0 1.1rem;margin:0;padding:0;list-style:none;"
    "font-size:.85rem;color:var(--soft)}",
    ".signs li{display:flex;align-items:center;gap:.35rem}",
    ".sign{flex:none}",
    ".pair{display:grid;grid-template-columns:repeat(auto-fit,minmax(min(100%,19rem),1fr));"
    "gap:0 2.2rem}",
    ".pair figure svg{width:100%;max-width:26rem;margin-top:.4rem}",
};

static const char *const table_rules[] = {
    "table{border-collapse:collapse;width:100%;font-size:.85rem;line-height:1.35}",
    "caption{text-align:left;font-style:italic;padding:.9rem 0 .3rem}",
    "th,td{text-align:left;vertical-align:top;padding:.22rem .6rem .22rem 0;"
    "border-bottom:1px solid var(--hair)}",
    "th{font-weight:400}",
    "thead th{color:var(--soft);font-style:italic;vertical-align:bottom;"
    "border-bottom:1px solid var(--ink)}",
    "th:last-child,td:last-child{padding-right:0}",
    ".r{text-align:right}",
    "details{margin-top:1.1rem}",
    "summary{cursor:pointer;font-size:.9rem;color:var(--soft)}",
    ".side td,.side th{vertical-align:middle}",
    ".side .gap,.side .axis{width:100%;max-width:none}",
    ".side .spent{margin-left:auto}",
    "details tbody th{white-space:nowrap}",
    ".side .scale{width:52%}",
    ".side .time{width:7.5rem;text-align:right}",
    ".side thead .time{vertical-align:bottom}",
    "@media screen and (max-width:36rem){",
    ".top{grid-template-columns:1fr;text-align:center}",
    ".top h1,.top p:last-child{grid-column:1;text-align:center}",
    "details table{font-size:.78rem}",
    "details th,details td{padding-right:.35rem}",
    "details tbody th{white-space:normal}",
    ".side tr{display:grid;grid-template-columns:1fr auto}",
    ".side tbody tr{padding:.3rem 0;border-bottom:1px solid var(--hair)}",
    ".side th,.side td{border:0}",
    ".side .scale{grid-column:1/3;grid-row:2;width:auto;padding-right:0}",
    ".side .scale:empty{display:none}",
    ".side thead .scale{border-bottom:1px solid var(--ink)}",
    ".side thead .time,.side thead .who{grid-row:1}",
    "}",
};

static const char *const print_rules[] = {
    "@media print{",
    "html{font-size:10.5pt}",
    "body{line-height:1.4}",
    "main{max-width:none;padding:0}",
    "h1{font-size:1.7rem}",
    "h2{font-size:1.4rem}",
    "p{margin:.25rem 0}",
    "a{text-decoration:none}",
    "details{display:none}",
    "figure{margin-top:.5rem}",
    "figure,tr,.care{break-inside:avoid}",
    ".end{margin-bottom:.7rem}",
    ".passage,.overview{margin:0}",
    ".passage{break-before:page}",
    ".passage.first{break-before:auto}",
    ".sign-on{margin-top:.3rem}",
    ".stand{font-size:1rem}",
    ".facts,.care{font-size:.82rem}",
    ".system svg{margin-bottom:.2rem}",
    ".pair{grid-template-columns:1fr 1fr}",
    ".care{margin:.6rem 0 0;padding-top:.4rem}",
    "}",
};

static const char *const report_rules[] = {
    "@page{margin:10mm 12mm}",
};

static const char *const studio_rules[] = {
    "@page{size:landscape;margin:11mm 12mm}",
    "main{max-width:82rem}",
    ".studio td,.studio th{padding-right:.8rem}",
    ".studio td:last-child,.studio th:last-child{padding-right:0}",
    ".studio .near{display:flex;justify-content:space-between;gap:.7rem;white-space:nowrap}",
    ".studio .again{color:var(--soft)}",
    ".studio .new th,.studio .new td{border-top:1px solid var(--ink)}",
    ".studio svg{flex:none}",
    /* On a telephone each row is a small list; the heads are heard there, and seen in each line. */
    "@media screen and (max-width:52rem){",
    ".studio thead{position:absolute;clip-path:inset(50%);height:1px;width:1px;overflow:hidden}",
    ".studio tr{display:grid;grid-template-columns:7.5rem 1fr}",
    ".studio tr{padding:.7rem 0;border-bottom:1px solid var(--hair)}",
    ".studio td,.studio tbody th{border:0;padding:.08rem 0}",
    ".studio tbody th{grid-column:1/3;font-size:1.05rem}",
    ".studio .new th,.studio .new td{border:0}",
    ".studio td{grid-column:1/3;text-align:left;display:grid;grid-template-columns:7.5rem 1fr}",
    ".studio td::before{content:attr(data-label);color:var(--soft);font-style:italic}",
    ".studio td>*{grid-column:2}",
    ".studio .near{justify-content:flex-start}",
    "}",
    "@media print{",
    "html{font-size:9pt}",
    ".studio td,.studio th{padding-top:.18rem;padding-bottom:.14rem}",
    "}",
};

static void put_rules(struct page *page, const char *const *rule, size_t rules)
{
    for (size_t i = 0; i < rules; i++)
        page_put(page, "%s\n", rule[i]);
}
#define PUT_RULES(page, rules) put_rules(page, rules, sizeof(rules) / sizeof *(rules))

static void put_sheet(struct page *page, enum page_kind kind)
{
    page_put(page, "<style>\n");
    PUT_RULES(page, colours);
    PUT_RULES(page, text_rules);
    PUT_RULES(page, drawing_rules);
    PUT_RULES(page, table_rules);
    PUT_RULES(page, print_rules);
    if (kind == PAGE_REPORT)
        PUT_RULES(page, report_rules);
    else
        PUT_RULES(page, studio_rules);
    page_put(page, "</style>\n");
}

void page_head(struct page *page, enum page_kind kind, const char *title, const char *of)
{
    page_put(page,
             "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
             "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
             "style-src 'unsafe-inline'; img-src data:\">\n"
             "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
             "<meta name=\"format-detection\" content=\"telephone=no\">\n"
             "<meta name=\"referrer\" content=\"no-referrer\">\n"
             "<link rel=\"icon\" href=\"data:,\">\n<title>%s",
             title);
    if (of[0]) {
        page_put(page, ": ");
        page_text(page, of, PAGE_TAB_MOST);
    }
    page_put(page, "</title>\n");
    put_sheet(page, kind);
    page_put(page, "</head>\n<body>\n<main>\n");
}

void page_foot(struct page *page, int32_t today, const char *notes)
{
    char day[WORDS_BYTES];
    page_put(page, "<p class=\"care\">%s", notes);
    page_put(page, "Rest as long as you play. Keep the level low in headphones "
                   "and rest the ears. Stop at pain, numbness or a dry, swollen lip, and ask a "
                   "teacher or a clinician. ");
    page_put(page, "<i>Made on %s.</i></p>\n</main>\n</body>\n</html>\n",
             words_day(today, DAY_LONG, day, sizeof day));
}
