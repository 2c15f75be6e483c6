/* Several passages side by side, in the report's order: how far each is from its target, in
 * hundredths of the target and on one scale, and the time it was given. A strip holds the secure
 * tempo (an open diamond on the interval where it most likely lies), the best clean tempo (a filled
 * dot) and the target (the double line at 100 %). Main thread. */
#include "report/page_part.h"

#include <math.h>
#include "report/page_words.h"

#define STRIP_WIDTH 320.0
#define STRIP_HIGH  24.0
#define STRIP_EDGE  14.0
#define AXIS_HIGH   16.0
#define SCALE_STEP  10
#define SCALE_MOST  200 /* of the target: what is faster stands at the edge */

struct scale {
    int low; /* hundredths of the target */
    int high;
    int64_t most_ns;
};

static void widen(struct scale *scale, int percent)
{
    if (percent <= 0)
        return;
    int at = percent > SCALE_MOST ? SCALE_MOST : percent;
    while (scale->low > at)
        scale->low -= SCALE_STEP;
    while (scale->high < at)
        scale->high += SCALE_STEP;
}

static struct scale scale_of(const struct passo_report *report)
{
    struct scale scale = {.low = 60, .high = 110, .most_ns = 1};
    for (size_t i = 0; i < report->passages; i++) {
        const struct passo_report_passage *passage = report->passage[i];
        widen(&scale, page_of_target(passage, passage->best_clean_mbpm / 1000.0));
        if (passage->secure.kind != PASSO_SECURE_UNKNOWN)
            widen(&scale, page_of_target(passage, passage->secure.bpm));
        if (passage->secure.kind == PASSO_SECURE_FITTED)
            widen(&scale, page_of_target(passage, passage->secure.low_bpm));
        int64_t ns = passage->play_ns;
        scale.most_ns = ns > scale.most_ns ? ns : scale.most_ns;
    }
    return scale;
}

static double scale_x(const struct scale *scale, int percent)
{
    double share = (double)(percent - scale->low) / (scale->high - scale->low);
    return STRIP_EDGE + (STRIP_WIDTH - 2 * STRIP_EDGE) * fmax(0, fmin(1, share));
}

static int label_step(const struct scale *scale)
{
    int steps = (scale->high - scale->low) / SCALE_STEP;
    return steps <= 6 ? SCALE_STEP : steps <= 12 ? 2 * SCALE_STEP : 5 * SCALE_STEP;
}

static void put_axis(struct page *page, const struct scale *scale)
{
    char words[WORDS_BYTES];
    snprintf(words, sizeof words, "The scale of the rows below, from %d to %d %% of the target.",
             scale->low, scale->high);
    svg_open(page, "axis", STRIP_WIDTH, AXIS_HIGH, "Scale", words);
    for (int at = scale->low; at <= scale->high; at += SCALE_STEP) {
        bool named = (100 - at) % label_step(scale) == 0;
        svg_line(page, "bar", scale_x(scale, at), AXIS_HIGH - (named ? 4 : 2), scale_x(scale, at),
                 AXIS_HIGH);
        snprintf(words, sizeof words, at == 100 ? "%d %%" : "%d", at);
        if (named)
            svg_text(page, at == 100 ? "m b" : "m", scale_x(scale, at), AXIS_HIGH - 6, words);
    }
    svg_close(page);
}

static void say_gap(const struct passo_report_passage *passage, char *out, size_t bytes)
{
    int best = page_of_target(passage, passage->best_clean_mbpm / 1000.0);
    int secure = page_of_target(passage, passage->secure.bpm);
    out[0] = '\0';
    if (!passage->passes)
        words_add(out, bytes, "no practice recorded");
    else if (passage->target_mbpm <= 0)
        words_add(out, bytes, "no target is known");
    else if (best <= 0)
        words_add(out, bytes, "not yet clean as a whole");
    else
        words_add(out, bytes, "best clean %d %%", best);
    if (passage->target_mbpm <= 0)
        return;
    switch (passage->secure.kind) {
    case PASSO_SECURE_FITTED:
        words_add(out, bytes, ", secure %d %%", secure);
        break;
    case PASSO_SECURE_AT_LEAST:
        words_add(out, bytes, ", secure at %d %% or more", secure);
        break;
    case PASSO_SECURE_UNDER:
        words_add(out, bytes, ", secure under %d %%", secure);
        break;
    case PASSO_SECURE_UNKNOWN:
    case PASSO_SECURE_KIND_COUNT:
        break;
    }
}

/* The best above the line and the secure tempo below it: they may be the same. */
static void put_marks(struct page *page, const struct scale *scale,
                      const struct passo_report_passage *passage)
{
    double upper = STRIP_HIGH / 2 - 5;
    double lower = STRIP_HIGH / 2 + 6;
    double best = scale_x(scale, page_of_target(passage, passage->best_clean_mbpm / 1000.0));
    double secure = scale_x(scale, page_of_target(passage, passage->secure.bpm));
    if (passage->secure.kind == PASSO_SECURE_FITTED) {
        double low = scale_x(scale, page_of_target(passage, passage->secure.low_bpm));
        double high = scale_x(scale, page_of_target(passage, passage->secure.high_bpm));
        svg_box(page, "band", low, lower - 3, high - low, 6);
    }
    if (passage->best_clean_mbpm > 0) {
        svg_path_open(page, "cl");
        svg_dot(page, best, upper);
        svg_path_close(page);
    }
    if (passage->secure.kind != PASSO_SECURE_UNKNOWN) {
        svg_path_open(page, "dia");
        svg_diamond(page, secure, lower, 4.5);
        svg_path_close(page);
    }
}

static void put_strip(struct page *page, const struct scale *scale,
                      const struct passo_report_passage *passage, const char *said)
{
    double middle = STRIP_HIGH / 2;
    double target = scale_x(scale, 100);
    svg_open(page, "gap", STRIP_WIDTH, STRIP_HIGH, passage->title, said);
    svg_line(page, "st", STRIP_EDGE, middle, STRIP_WIDTH - STRIP_EDGE, middle);
    svg_line(page, "tg2", target - 3.2, 2, target - 3.2, STRIP_HIGH - 2);
    svg_line(page, "tg", target, 2, target, STRIP_HIGH - 2);
    put_marks(page, scale, passage);
    svg_close(page);
}

static void put_row(struct page *page, const struct scale *scale,
                    const struct passo_report_passage *passage, size_t number, bool names_player)
{
    char said[WORDS_BYTES];
    char time[WORDS_BYTES];
    say_gap(passage, said, sizeof said);
    page_put(page, "<tr><th scope=\"row\"><a href=\"#p%zu\">", number);
    page_name(page, passage->title, PAGE_NAME_MOST, "Passage without a title");
    page_put(page, "</a>");
    if (names_player) {
        page_put(page, " ");
        page_name(page, passage->player, PAGE_NAME_MOST, "");
    }
    page_put(page, "<br><span class=\"soft\">%s</span></th><td class=\"scale\">", said);
    if (passage->target_mbpm > 0)
        put_strip(page, scale, passage, said);
    words_time(passage->play_ns, time, sizeof time);
    page_put(page, "</td><td class=\"time\">%s", time);
    svg_open(page, "spent", 110, 8, "Time played", time);
    double wide = 110.0 * (double)passage->play_ns / (double)scale->most_ns;
    svg_box(page, "ful", 110 - wide, 1, wide, 5);
    svg_close(page);
    page_put(page, "</td></tr>\n");
}

static void put_signs(struct page *page)
{
    page_put(page, "<ul class=\"signs\">\n<li>");
    svg_sign_open(page, 12, 10);
    svg_path_open(page, "cl");
    svg_dot(page, 6, 5);
    svg_path_close(page);
    svg_close(page);
    page_put(page, "best clean</li>\n<li>");
    svg_sign_open(page, 22, 10);
    svg_box(page, "band", 1, 2, 20, 6);
    svg_path_open(page, "dia");
    svg_diamond(page, 11, 5, 4.5);
    svg_path_close(page);
    svg_close(page);
    page_put(page, "secure, and where it most likely lies</li>\n<li>");
    svg_sign_open(page, 8, 12);
    svg_line(page, "tg2", 1, 0, 1, 12);
    svg_line(page, "tg", 4.5, 0, 4.5, 12);
    svg_close(page);
    page_put(page, "target</li>\n</ul>\n");
}

void page_overview(struct page *page, const struct passo_report *report)
{
    struct scale scale = scale_of(report);
    page_put(page, "<section class=\"overview\">\n<h2>Side by side</h2>\n");
    put_signs(page);
    page_put(page, "<table class=\"side\">\n<thead><tr><th class=\"who\" scope=\"col\">Passage</th>"
                   "<th class=\"scale\" scope=\"col\">Per cent of the target tempo");
    put_axis(page, &scale);
    page_put(page,
             "</th><th class=\"time\" scope=\"col\">Time played</th></tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < report->passages; i++)
        put_row(page, &scale, report->passage[i], i + 1, !page_player(report)[0]);
    page_put(page, "</tbody>\n</table>\n</section>\n");
}
