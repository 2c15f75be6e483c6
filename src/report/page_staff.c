/* Tempi on five lines, as notes are: the spaces between them are a round number of beats a minute,
 * the smallest that holds everything that is to be shown. Main thread. */
#include "report/page_staff.h"

#include <stdio.h>

#define STAFF_SPACES 4
#define STAFF_LEAST_BPM                                                                            \
    4 /* from line to line: a beat more or less is not made to look like a leap */

struct staff staff_over(int32_t low_mbpm, int32_t high_mbpm, double top, double gap)
{
    static const int32_t steps[] = {STAFF_LEAST_BPM, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60};
    const size_t last = sizeof steps / sizeof *steps - 1;
    struct staff staff = {.step_bpm = 250, .top = top, .gap = gap};
    int32_t high_bpm = (high_mbpm + 999) / 1000;
    for (size_t i = 0; i <= last; i++) {
        staff.low_bpm = low_mbpm / 1000 / steps[i] * steps[i];
        if (staff.low_bpm + STAFF_SPACES * steps[i] < high_bpm)
            continue;
        staff.step_bpm = steps[i];
        /* The highest of what is shown stands near the top: the room is above the start. */
        while (staff.low_bpm >= steps[i] &&
               staff.low_bpm + (STAFF_SPACES - 1) * steps[i] >= high_bpm)
            staff.low_bpm -= steps[i];
        return staff;
    }
    staff.low_bpm = 0;
    return staff;
}

double staff_y(const struct staff *staff, double bpm)
{
    return staff->top + staff->gap * (STAFF_SPACES - (bpm - staff->low_bpm) / staff->step_bpm);
}

void staff_draw(struct page *page, const struct staff *staff, double from, double to, int every)
{
    svg_path_open(page, "st");
    for (int line = 0; line <= STAFF_SPACES; line++)
        page_put(page, "M%s %sH%s", px(from).text,
                 px(staff->top + staff->gap * (STAFF_SPACES - line)).text, px(to).text);
    svg_path_close(page);
    for (int line = 0; line <= STAFF_SPACES; line += every) {
        char number[16];
        snprintf(number, sizeof number, "%d", (int)(staff->low_bpm + line * staff->step_bpm));
        svg_text(page, "e n", from - 4, staff->top + staff->gap * (STAFF_SPACES - line) + 3.3,
                 number);
    }
}

void staff_target(struct page *page, const struct staff *staff, int32_t target_mbpm, double from,
                  double to)
{
    double y = staff_y(staff, target_mbpm / 1000.0);
    svg_line(page, "tg", from, y, to, y);
    svg_line(page, "tg2", from, y - 3.2, to, y - 3.2);
}
