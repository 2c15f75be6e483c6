/* When a passage comes back: daily until it has held three days running, then in growing steps.
 * Pure; any thread. */
#include <passo/standing.h>

int passo_spacing_days(const enum passo_held *day, size_t days)
{
    static const int spacing[] = {1, 1, 1, 2, 4, 7};
    enum { LONGEST = sizeof spacing / sizeof *spacing - 1 };
    int running = 0;
    if (days == 0)
        return 0;
    for (size_t i = 0; i < days; i++) {
        switch (day[i]) {
        case PASSO_HELD_NOT_TRIED:
            break;
        case PASSO_HELD_NO:
            running = 0;
            break;
        case PASSO_HELD_YES:
            if (running < LONGEST)
                running++;
            break;
        }
    }
    return spacing[running];
}
