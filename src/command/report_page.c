/* Where a report goes: lines on standard output as wide as the terminal is, or a page in a file,
 * which is written whole beside its place and then named, so that an old one stays until the new
 * one is there. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>
#include "command/report_parts.h"
#include "text/notation.h"
#include "text/fold.h"

enum { COLUMNS_USUAL = 80 };

static int columns_here(void)
{
    struct winsize size;
    const char *said = getenv("COLUMNS");
    if (ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0)
        return size.ws_col;
    int columns = said ? atoi(said) : 0;
    return columns > 0 ? columns : COLUMNS_USUAL;
}

struct passo_report_style report_style(const struct passo_options *options)
{
    bool utf8 = passo_locale_is_utf8();
    return (struct passo_report_style){.utf8 = utf8 && !options->ascii, .columns = columns_here()};
}

bool report_page_open(const struct passo_options *options, struct passo_beside *out_page,
                      enum passo_exit *out_exit)
{
    char fault[PASSO_PATH_BYTES + 256];
    enum passo_error error = PASSO_ERR_EXISTS;
    if (options->out[0])
        error = passo_beside_open(out_page, options->out, options->force, fault, sizeof fault);
    else
        snprintf(fault, sizeof fault, "--out: the name of a page is wanted, such as report.html");
    if (error == PASSO_OK)
        return true;
    passo_tell(fault);
    *out_exit = error == PASSO_ERR_EXISTS ? PASSO_EXIT_USAGE : PASSO_EXIT_MACHINE;
    return false;
}

/* False with errno set. */
static bool write_page(int file, const struct passo_options *options,
                       const struct passo_report *report)
{
    int copy = dup(file);
    FILE *to = copy < 0 ? NULL : fdopen(copy, "w");
    if (!to)
        return false;
    if (options->studio)
        passo_studio_page(report, to);
    else
        passo_report_page(report, to);
    bool good = fflush(to) == 0 && !ferror(to);
    int why = errno;
    fclose(to);
    errno = why;
    return good;
}

enum passo_exit report_page_write(const struct passo_options *options,
                                  const struct passo_report *report, struct passo_beside *page)
{
    char fault[PASSO_PATH_BYTES + 256];
    bool straight = !page->path;
    bool good = write_page(page->file, options, report);
    if (!good) {
        snprintf(fault, sizeof fault, "--out %s cannot be written: %s", options->out,
                 strerror(errno));
        passo_beside_drop(page);
    } else if (passo_beside_keep(page, fault, sizeof fault) != PASSO_OK) {
        good = false;
    }
    if (!good) {
        passo_tell(fault);
        return PASSO_EXIT_MACHINE;
    }
    if (!straight)
        printf("The page is in %s; a browser shows it, and prints it.\n",
               passo_text_clean(options->out, fault, sizeof fault));
    return PASSO_EXIT_DONE;
}
