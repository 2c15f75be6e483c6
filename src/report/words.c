/* The sentences that the drawings of a report share: the trade's plain words, exact where there is
 * something to be exact about, and never a scolding. Tempi are rounded to whole beats where they
 * were worked out, and left as they are where they were played. Pure. */
#include <math.h>
#include <stdio.h>
#include <string.h>
#include "report/report.h"
#include "report/report_words.h"
#include "store/day.h"
#include "text/notation.h"

const char *report_day_name(int32_t day)
{
    /* 1 January 1970 was a Thursday. */
    static const char *const names[] = {"Monday", "Tuesday",  "Wednesday", "Thursday",
                                        "Friday", "Saturday", "Sunday"};
    int64_t weekday = (passo_day_count(day) + 3) % 7;
    return names[weekday < 0 ? weekday + 7 : weekday];
}

const char *report_month_name(int32_t day)
{
    static const char *const names[] = {"January",   "February", "March",    "April",
                                        "May",       "June",     "July",     "August",
                                        "September", "October",  "November", "December"};
    return names[day / 100 % 100 - 1];
}

const char *report_day_short(int32_t day, int32_t today, char *out, size_t bytes)
{
    if (day / 10000 == today / 10000)
        snprintf(out, bytes, "%d %.3s", day % 100, report_month_name(day));
    else
        snprintf(out, bytes, "%d %.3s %d", day % 100, report_month_name(day), day / 10000);
    return out;
}

const char *passo_report_secure_words(const struct passo_report_passage *passage, char *out,
                                      size_t bytes)
{
    const struct passo_secure *secure = &passage->secure;
    double low = round(secure->low_bpm);
    double high = round(secure->high_bpm);
    switch (secure->kind) {
    case PASSO_SECURE_UNKNOWN:
    case PASSO_SECURE_KIND_COUNT:
        snprintf(out, bytes, "not enough passes to say where it is secure");
        break;
    case PASSO_SECURE_FITTED:
        if (secure->passes < PASSO_SECURE_FEW_PASSES)
            snprintf(out, bytes, "secure at about %.0f, a rough guess from few passes",
                     round(secure->bpm));
        else if (low == high)
            snprintf(out, bytes, "secure at %.0f", round(secure->bpm));
        else
            snprintf(out, bytes, "secure at %.0f, most likely %.0f to %.0f", round(secure->bpm),
                     low, high);
        break;
    case PASSO_SECURE_AT_LEAST:
        snprintf(out, bytes, "secure at %.0f at least", round(secure->bpm));
        break;
    case PASSO_SECURE_UNDER:
        snprintf(out, bytes, "not yet secure at %.0f, the slowest that was played",
                 round(secure->bpm));
        break;
    }
    return out;
}

/* A length of time as one says it. */
static const char *span_words(double days, char *out, size_t bytes)
{
    double whole = fmax(1, round(days));
    if (whole < 14)
        snprintf(out, bytes, "%.0f day%s", whole, whole < 2 ? "" : "s");
    else if (whole < 70)
        snprintf(out, bytes, "%.0f weeks", round(whole / 7));
    else if (whole < 730)
        snprintf(out, bytes, "%.0f months", round(whole / 30.44));
    else
        snprintf(out, bytes, "years");
    return out;
}

/* How sure the days to come are, as the end of a sentence. */
static void range_words(const struct passo_outlook *outlook, const char *about, char *out,
                        size_t bytes)
{
    char low[32];
    char high[32];
    span_words(outlook->low_days, low, sizeof low);
    if (!isfinite(outlook->high_days)) {
        snprintf(out, bytes, "; it may be %s or very long.", low);
        return;
    }
    span_words(outlook->high_days, high, sizeof high);
    size_t number = strcspn(low, " ");
    if (!strcmp(low, high) && !strcmp(low, about))
        snprintf(out, bytes, ".");
    else if (!strcmp(low, high))
        snprintf(out, bytes, "; it may be %s.", low);
    else if (low[number] && !strcmp(low + number, high + strcspn(high, " ")))
        snprintf(out, bytes, "; it may be %.*s to %s.", (int)number, low, high);
    else
        snprintf(out, bytes, "; it may be %s or %s.", low, high);
}

const char *passo_report_outlook_words(const struct passo_report_passage *passage, char *out,
                                       size_t bytes)
{
    const struct passo_outlook *outlook = &passage->outlook;
    char about[32];
    char range[96];
    enum passo_outlook_kind kind = outlook->kind;
    if (passage->target_mbpm == 0) {
        snprintf(out, bytes, "No target is recorded.");
        return out;
    }
    switch (kind) {
    case PASSO_OUTLOOK_TOO_LITTLE:
    case PASSO_OUTLOOK_KIND_COUNT:
        snprintf(out, bytes, "Too few days to say when the target will come.");
        break;
    case PASSO_OUTLOOK_NO_TREND:
        snprintf(out, bytes,
                 "It does not clearly rise at present, so no day can be told for the "
                 "target.");
        break;
    case PASSO_OUTLOOK_THERE:
        snprintf(out, bytes, "It is secure at the target.");
        break;
    case PASSO_OUTLOOK_DAYS:
        span_words(outlook->days, about, sizeof about);
        range_words(outlook, about, range, sizeof range);
        snprintf(out, bytes, "About %s to the target if it goes on like this%s", about, range);
        break;
    case PASSO_OUTLOOK_FAR:
        snprintf(out, bytes, "More than %d months to the target if it goes on like this.",
                 PASSO_OUTLOOK_FAR_DAYS / 30);
        break;
    }
    return out;
}

const char *passo_report_share_words(const struct passo_report_passage *passage, char *out,
                                     size_t bytes)
{
    static const char *const said[] = {
        [PASSO_SHARE_FINE] = "",
        [PASSO_SHARE_TOO_FAST] = ": perhaps too fast; a slower start may serve better",
        [PASSO_SHARE_TOO_CAREFUL] = ": perhaps too careful; it may go up sooner",
        [PASSO_SHARE_FEW] = "; too few passes to go by",
    };
    char share[16];
    uint32_t marked = passage->clean + passage->missed;
    if (marked == 0)
        snprintf(out, bytes, "no pass was marked");
    else
        snprintf(out, bytes, "%s of the passes clean%s",
                 report_share_write(passage->clean, marked, share), said[passage->share]);
    return out;
}

const char *report_share_write(uint32_t clean, uint32_t marked, char out[16])
{
    double percent = marked ? round(100.0 * clean / marked) : 0;
    /* What is not all is not shown as all, and a little not as nothing. */
    if (percent >= 100 && clean < marked)
        percent = 99;
    if (percent < 1 && clean > 0)
        percent = 1;
    snprintf(out, 16, "%ld %%", lround(percent));
    return out;
}

const char *passo_report_due_words(const struct passo_report *report,
                                   const struct passo_report_passage *passage, char *out,
                                   size_t bytes)
{
    if (passage->due || passage->days == 0) {
        snprintf(out, bytes, "due today");
        return out;
    }
    int64_t next = passo_day_count(passage->day[passage->days - 1].day) + passage->spacing_days;
    int64_t wait = next - passo_day_count(report->today);
    int32_t day = passo_day_of(next);
    if (wait == 1)
        snprintf(out, bytes, "due again tomorrow");
    else if (wait < 7)
        snprintf(out, bytes, "due again on %s", report_day_name(day));
    else
        snprintf(out, bytes, "due again on %s, %d %s", report_day_name(day), day % 100,
                 report_month_name(day));
    return out;
}
