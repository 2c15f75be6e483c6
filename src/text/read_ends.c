/* Readers of the ladder's lines that stand around the climbing: anchor to on-miss. */
#include "text/reading.h"
#include "text/scan.h"
#include "text/settings.h"

#include <string.h>

#define COUNT_MAX          255
#define PASSES_MAX         65535
#define REST_MAX_MS        3600000
#define STOP_MAX_MS        86400000
#define SHARE_MAX_PERMILLE 10000

static bool is_none(const char *value)
{
    return scan_match(value, "none", NULL);
}

const char *read_anchor(const char *value, struct draft *draft)
{
    int64_t share = 0;
    if (!is_none(value) &&
        (!scan_match(value, "%", &share) || !reading_fits(share, 1, SHARE_MAX_PERMILLE)))
        return "an anchor is a share of the target, 60 %, or none";
    draft->rule->anchor_permille = (int32_t)share;
    return NULL;
}

const char *read_over(const char *value, struct draft *draft)
{
    int64_t number[2] = {0, draft->rule->over_permille};
    if (!is_none(value) &&
        (!scan_match(value, "# at %", number) || !reading_fits(number[0], 1, COUNT_MAX) ||
         !reading_fits(number[1], 1, SHARE_MAX_PERMILLE)))
        return "passes past the target are written 1 at 105 %, or none";
    draft->rule->over_passes = (uint8_t)number[0];
    draft->rule->over_permille = (int32_t)number[1];
    return NULL;
}

/* A count in a phrase, or none. */
static bool read_number_of(const char *value, const char *pattern, int64_t most, int64_t *out_count)
{
    *out_count = 0;
    return is_none(value) ||
           (scan_match(value, pattern, out_count) && reading_fits(*out_count, 1, most));
}

const char *read_close(const char *value, struct draft *draft)
{
    int64_t count = 0;
    bool thins = scan_match(value, "thinning", NULL);
    if (!thins && !read_number_of(value, "# clean", COUNT_MAX, &count))
        return "the close is written 2 clean, thinning, or none";
    draft->rule->close_clean = (uint8_t)count;
    draft->rule->close_thins = thins;
    return NULL;
}

const char *read_finish(const char *value, struct draft *draft)
{
    static const char how[] =
        "the finish is written 1 in context, 1 at 60 % (put away slow), both with a comma, or none";
    struct passo_rule *rule = draft->rule;
    int64_t context = 0;
    int64_t away[2] = {0, 0};
    char part[64];
    if (!is_none(value))
        for (const char *at = value; scan_part(&at, ',', part, sizeof part);) {
            int64_t number[2] = {0, 1};
            bool put_away = scan_match(part, "# at %", number);
            if ((!put_away && !scan_match(part, "# in context", number)) ||
                !reading_fits(number[0], 1, COUNT_MAX) ||
                !reading_fits(number[1], 1, SHARE_MAX_PERMILLE))
                return how;
            if (put_away)
                memcpy(away, number, sizeof away);
            else
                context = number[0];
        }
    rule->finish_passes = (uint8_t)context;
    rule->put_away_passes = (uint8_t)away[0];
    rule->put_away_permille = (int32_t)away[1];
    return NULL;
}

const char *read_plateau(const char *value, struct draft *draft)
{
    struct passo_rule *rule = draft->rule;
    int64_t count[2] = {0, 0};
    if (!is_none(value) && ((!scan_match(value, "# drops|drop", count) &&
                             !scan_match(value, "# drops|drop , then # clean", count)) ||
                            !reading_fits(count[0], 1, COUNT_MAX) ||
                            !reading_fits(count[1], strchr(value, ',') ? 1 : 0, COUNT_MAX)))
        return "a plateau is written 2 drops, or 2 drops, then 2 clean, or none";
    rule->plateau_drops = (uint8_t)count[0];
    rule->plateau_clean = (uint8_t)count[1];
    return NULL;
}

const char *read_tired(const char *value, struct draft *draft)
{
    static const char how[] = "tired is written 3 misses of 5 (of at most 32), 15 min played, both "
                              "with a comma, or none";
    struct passo_rule *rule = draft->rule;
    int64_t misses = 0;
    int64_t played = 0;
    char part[64];
    if (!is_none(value))
        for (const char *at = value; scan_part(&at, ',', part, sizeof part);) {
            int64_t number[2] = {0, 0};
            if (scan_match(part, "# misses|miss of #", number)) {
                if (!reading_fits(number[0], 1, 32) || !reading_fits(number[1], number[0], 32))
                    return how;
                misses = number[0];
                rule->tired_of = (uint8_t)number[1];
            } else if (!scan_match(part, "@ played", &played) ||
                       !reading_fits(played, 1, STOP_MAX_MS)) {
                return how;
            }
        }
    rule->tired_misses = (uint8_t)misses;
    rule->tired_played_ms = played;
    return NULL;
}

static const char *read_limit(const char *part, struct passo_rule *rule)
{
    int64_t number = 0;
    if (scan_match(part, "@", &number) && reading_fits(number, 1, STOP_MAX_MS))
        rule->stop_ms = number;
    else if (scan_match(part, "# passes|pass", &number) && reading_fits(number, 1, PASSES_MAX))
        rule->stop_passes = (uint16_t)number;
    else if ((scan_match(part, "# misses|miss in a row", &number) ||
              scan_match(part, "# misses|miss", &number)) &&
             reading_fits(number, 1, PASSES_MAX))
        rule->stop_misses = (uint16_t)number;
    else
        return "a climb stops after 20 min (a day at most), 12 passes, 5 misses in a row (commas "
               "between several), or none";
    return NULL;
}

const char *read_stop(const char *value, struct draft *draft)
{
    struct passo_rule *rule = draft->rule;
    char part[64];
    const char *fault = NULL;
    rule->stop_ms = 0;
    rule->stop_passes = 0;
    rule->stop_misses = 0;
    if (is_none(value))
        return NULL;
    for (const char *at = value; !fault && scan_part(&at, ',', part, sizeof part);)
        fault = read_limit(part, rule);
    return fault;
}

const char *read_unmarked(const char *value, struct draft *draft)
{
    static const char *const words[PASSO_UNMARKED_COUNT] = {
        [PASSO_UNMARKED_HOLD] = "hold",
        [PASSO_UNMARKED_WAIT] = "wait",
        [PASSO_UNMARKED_CLEAN] = "clean",
        [PASSO_UNMARKED_MISS] = "miss",
    };
    for (size_t i = 0; i < PASSO_UNMARKED_COUNT; i++)
        if (scan_match(value, words[i], NULL)) {
            draft->rule->unmarked = (enum passo_unmarked)i;
            return NULL;
        }
    return "a pass without a mark is hold, wait, clean or miss";
}

/* "at least 6 s", "at most 60 s", both, or nothing, after the rest itself. */
static bool read_bounds(const char *text, struct passo_rule *rule)
{
    int64_t bound[2] = {rule->rest_least_ms, rule->rest_most_ms};
    if (!scan_match(text, "", NULL) && !scan_match(text, "at least @", bound) &&
        !scan_match(text, "at most @", bound + 1) &&
        !scan_match(text, "at least @ at most @", bound)) {
        int64_t swapped[2] = {0, 0};
        if (!scan_match(text, "at most @ at least @", swapped))
            return false;
        bound[0] = swapped[1];
        bound[1] = swapped[0];
    }
    rule->rest_least_ms = (int32_t)(bound[0] <= REST_MAX_MS ? bound[0] : REST_MAX_MS + 1);
    rule->rest_most_ms = (int32_t)(bound[1] <= REST_MAX_MS ? bound[1] : REST_MAX_MS + 1);
    return true;
}

static bool read_rest_itself(const char *text, struct passo_rule *rule)
{
    int64_t number = 1000;
    bool share = scan_match(text, "as played", NULL) || scan_match(text, "~ x played", &number);
    if (!share && !scan_match(text, "@", &number))
        return false;
    if (!reading_fits(number, 1, share ? SHARE_MAX_PERMILLE : REST_MAX_MS))
        return false;
    rule->rest_permille = share ? (int32_t)number : 0;
    rule->rest_fixed_ms = share ? 0 : (int32_t)number;
    return true;
}

const char *read_rest(const char *value, struct draft *draft)
{
    static const char how[] = "a rest is as played, 1.5 x played or 10 s, with at least 6 s, at "
                              "most 60 s (an hour at most, ten times the playing at most)";
    struct passo_rule *rule = draft->rule;
    struct passo_rule usual = passo_rule_default();
    char text[96];
    rule->rest_least_ms = usual.rest_least_ms;
    rule->rest_most_ms = usual.rest_most_ms;
    if (strlen(value) >= sizeof text)
        return how;
    strcpy(text, value);
    for (char *at = text; *at; at++)
        if (*at == ',')
            *at = ' ';
    char *bounds = strcasestr(text, " at ");
    if (!read_bounds(bounds ? bounds : "", rule))
        return how;
    if (bounds)
        *bounds = '\0';
    if (!read_rest_itself(text, rule))
        return how;
    if (rule->rest_least_ms > REST_MAX_MS || rule->rest_most_ms > REST_MAX_MS)
        return how;
    if (rule->rest_most_ms && rule->rest_most_ms < rule->rest_least_ms)
        return "the least rest is above the most; as in at least 6 s, at most 60 s";
    return NULL;
}

const char *read_cold(const char *value, struct draft *draft)
{
    bool yes = scan_match(value, "yes", NULL);
    if (!yes && !scan_match(value, "no", NULL))
        return "a cold try is yes or no";
    draft->rule->cold = yes;
    return NULL;
}

const char *read_on_miss(const char *value, struct draft *draft)
{
    bool off = scan_match(value, "break off", NULL);
    if (!off && !scan_match(value, "play on", NULL))
        return "after a miss a pass is to play on, or break off at the bar's end";
    draft->setup->on_miss = off ? PASSO_ON_MISS_BREAK_OFF : PASSO_ON_MISS_PLAY_ON;
    return NULL;
}
