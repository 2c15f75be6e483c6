/* The bar of progress. It owns one line of the terminal: a carriage return, the line, and at the
 * end blanks over it. Written at most once a percent, so that a fast work is not held up by a slow
 * terminal. Thread: the main thread. */
#include "view/views.h"

#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

enum { LINE_MOST = 80, LINE_LEAST = 8, FIGURES = 8, USUAL_COLUMNS = 80 };

struct passo_progress {
    FILE *to;
    int percent; /* as shown; -1: nothing is */
    int width;   /* of what is shown */
};

const char *passo_progress_line(int64_t done, int64_t whole, int columns, char *out, size_t bytes)
{
    char bar[LINE_MOST];
    const int width = (columns > LINE_MOST ? LINE_MOST : columns) - FIGURES;
    const int64_t held = done < 0 ? 0 : done > whole ? whole : done;
    /* In floating point, as frames of many hours times the width could leave 64 bits behind. */
    const double share = whole > 0 ? (double)held / (double)whole : 0.0;
    const int percent = (int)(share * 100.0);
    if (width < 4) {
        snprintf(out, bytes, "%3d %%", percent);
        return out;
    }
    const int full = (int)(share * width);
    memset(bar, ' ', sizeof bar);
    memset(bar, '=', (size_t)full);
    snprintf(out, bytes, "[%.*s] %3d %%", width, bar, percent);
    return out;
}

/* One column stays free: a full line would wrap in some terminals. */
static int columns_of(FILE *to)
{
    struct winsize size;
    if (ioctl(fileno(to), TIOCGWINSZ, &size) != 0 || size.ws_col == 0)
        return USUAL_COLUMNS - 1;
    return size.ws_col > LINE_LEAST ? size.ws_col - 1 : LINE_LEAST;
}

struct passo_progress *passo_progress_open(FILE *to)
{
    const char *term = getenv("TERM");
    const bool dumb = !term || !*term || strcmp(term, "dumb") == 0;
    if (fileno(to) < 0 || !isatty(fileno(to)) || dumb)
        return NULL;
    struct passo_progress *progress = passo_xcalloc(1, sizeof *progress);
    progress->to = to;
    progress->percent = -1;
    return progress;
}

void passo_progress_show(struct passo_progress *progress, int64_t done, int64_t whole)
{
    char line[LINE_MOST + 1];
    if (!progress || whole <= 0)
        return;
    const int percent = (int)((double)done / (double)whole * 100.0);
    if (percent == progress->percent)
        return;
    progress->percent = percent;
    passo_progress_line(done, whole, columns_of(progress->to), line, sizeof line);
    progress->width = (int)strlen(line);
    fprintf(progress->to, "\r%s", line);
    fflush(progress->to);
}

void passo_progress_close(struct passo_progress *progress)
{
    if (!progress)
        return;
    if (progress->width)
        fprintf(progress->to, "\r%*s\r", progress->width, "");
    fflush(progress->to);
    free(progress);
}
