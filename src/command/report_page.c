/* Where a report goes: lines on standard output as wide as the terminal is, or a page in a file,
 * which is written whole beside its place and then named, so that an old one stays until the new
 * one is there. */
#include <errno.h>
#include <fcntl.h>
#include <langinfo.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <unistd.h>
#include "command/report_parts.h"
#include "text/notation.h"

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
    bool utf8 = strcmp(nl_langinfo(CODESET), "UTF-8") == 0;
    return (struct passo_report_style){.utf8 = utf8 && !options->ascii, .columns = columns_here()};
}

/* "--out PAGE.html: the disk is full; nothing was written" */
static enum passo_exit tell(const struct passo_options *options, const char *why,
                            enum passo_exit end)
{
    char fault[PASSO_PATH_BYTES + 256];
    snprintf(fault, sizeof fault, "--out %s: %s; nothing was written", options->out, why);
    passo_tell(fault);
    return end;
}

bool report_page_place(const struct passo_options *options, enum passo_exit *out_exit)
{
    struct stat about;
    *out_exit = PASSO_EXIT_USAGE;
    if (!options->out[0])
        tell(options, "the name of a page is wanted, such as report.html", *out_exit);
    else if (stat(options->out, &about) != 0)
        return true;
    else if (!S_ISREG(about.st_mode))
        tell(options, S_ISDIR(about.st_mode) ? "that is a folder" : "that is no ordinary file",
             *out_exit);
    else if (!options->force)
        tell(options,
             "there is such a file already; take another name, or --force to write over it",
             *out_exit);
    else
        return true;
    return false;
}

/* Writes to the open file, closes it, and gives it its name. False with errno set. */
static bool put(FILE *page, const char *from, const char *to, const struct passo_options *options,
                const struct passo_report *report)
{
    mode_t mask = umask(0);
    umask(mask);
    if (options->studio)
        passo_studio_page(report, page);
    else
        passo_report_page(report, page);
    bool good = fflush(page) == 0 && !ferror(page) && fchmod(fileno(page), 0666 & ~mask) == 0 &&
                fsync(fileno(page)) == 0;
    int why = errno;
    if (fclose(page) != 0 && good) {
        good = false;
        why = errno;
    }
    errno = why;
    if (!good || options->force)
        return good && rename(from, to) == 0;
    if (renameat2(AT_FDCWD, from, AT_FDCWD, to, RENAME_NOREPLACE) == 0)
        return true;
    /* A file system that does not know this way may know links. */
    return (errno == EINVAL || errno == ENOSYS) && link(from, to) == 0 && unlink(from) == 0;
}

enum passo_exit report_page_write(const struct passo_options *options,
                                  const struct passo_report *report)
{
    char beside[PASSO_PATH_BYTES];
    char place[PASSO_PATH_BYTES];
    /* In place of a file that a link leads to, not of the link. */
    char *real = realpath(options->out, NULL);
    int length = snprintf(place, sizeof place, "%s", real ? real : options->out);
    free(real);
    const char *slash = strrchr(place, '/');
    int folder = slash ? (int)(slash - place) + 1 : 0;
    int fits = snprintf(beside, sizeof beside, "%.*s.page-XXXXXX", folder, place);
    if (length >= PASSO_PATH_BYTES || fits >= PASSO_PATH_BYTES)
        return tell(options, strerror(ENAMETOOLONG), PASSO_EXIT_USAGE);
    int file = mkostemp(beside, O_CLOEXEC);
    FILE *page = file < 0 ? NULL : fdopen(file, "w");
    if (!page)
        return tell(options, strerror(errno), PASSO_EXIT_MACHINE);
    if (!put(page, beside, place, options, report)) {
        int why = errno;
        unlink(beside);
        return tell(options,
                    why == EEXIST ? "there is such a file already; take another name, or --force "
                                    "to write over it"
                                  : strerror(why),
                    why == EEXIST ? PASSO_EXIT_USAGE : PASSO_EXIT_MACHINE);
    }
    printf("The page is in %s; a browser shows it, and prints it.\n",
           passo_text_clean(options->out, beside, sizeof beside));
    return PASSO_EXIT_DONE;
}
