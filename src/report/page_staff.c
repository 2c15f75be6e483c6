/* Tempi on five lines, as notes are: from line to line is a round number of beats a minute, the
 * smallest that holds everything that is to be shown, and the target is one of the lines. Main
 * thread. */
#include "report/page_staff.h"

#include "text/notation.h"

#define STAFF_SPACES 4

/* Lays the staff so that `anchor` is a line and all from low to high lies on it. */
static bool lay(struct staff *staff, int32_t low, int32_t high, int32_t anchor)
{
    for (int32_t under = STAFF_SPACES; under >= 0; under--) {
        staff->low_mbpm = anchor - under * staff->step_mbpm;
        if (staff->low_mbpm > 0 && staff->low_mbpm <= low &&
            staff->low_mbpm + STAFF_SPACES * staff->step_mbpm >= high)
            return true;
    }
    return false;
}

struct staff staff_over(int32_t low_mbpm, int32_t high_mbpm, int32_t target_mbpm, double top,
                        double gap)
{
    /* 4 at least: a beat more or less is not made to look like a leap. */
    static const int32_t steps_bpm[] = {4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 35, 40, 50, 60};
    struct staff staff = {.top = top, .gap = gap};
    for (size_t i = 0; i < sizeof steps_bpm / sizeof *steps_bpm; i++) {
        staff.step_mbpm = steps_bpm[i] * 1000;
        int32_t round = (high_mbpm + staff.step_mbpm - 1) / staff.step_mbpm * staff.step_mbpm;
        if (lay(&staff, low_mbpm, high_mbpm, target_mbpm > 0 ? target_mbpm : round))
            return staff;
    }
    staff.step_mbpm = (high_mbpm / STAFF_SPACES / 1000 + 1) * 1000; /* from nothing to the top */
    staff.low_mbpm = 0;
    return staff;
}

double staff_y(const struct staff *staff, double bpm)
{
    return staff->top +
           staff->gap * (STAFF_SPACES - (bpm * 1000 - staff->low_mbpm) / staff->step_mbpm);
}

void staff_draw(struct page *page, const struct staff *staff, double from, double to, int every)
{
    char number[32];
    svg_path_open(page, "st");
    for (int line = 0; line <= STAFF_SPACES; line++)
        page_put(page, "M%s %sH%s", px(from).text,
                 px(staff->top + staff->gap * (STAFF_SPACES - line)).text, px(to).text);
    svg_path_close(page);
    for (int line = 0; line <= STAFF_SPACES; line += every)
        svg_text(page, "e n", from - 4, staff->top + staff->gap * (STAFF_SPACES - line) + 3.3,
                 passo_bpm_write(staff->low_mbpm + line * staff->step_mbpm, number, sizeof number));
}

void staff_target(struct page *page, const struct staff *staff, int32_t target_mbpm, double from,
                  double to)
{
    double y = staff_y(staff, target_mbpm / 1000.0);
    svg_line(page, "tg", from, y, to, y);
    svg_line(page, "tg2", from, y - 3.2, to, y - 3.2);
}
