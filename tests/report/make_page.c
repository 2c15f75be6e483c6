/* Writes the page of an invented scene to standard output, for page.sh and for the eye. With a
 * second word it is the studio's table of the same. */
#include "page_scenes.h"

int main(int count, char **word)
{
    struct passo_report *report = count >= 2 ? scene_named(word[1]) : NULL;
    if (!report) {
        fprintf(stderr, "name one scene of page_scenes.h\n");
        return 2;
    }
    if (count > 2 || !strcmp(word[1], "studio"))
        passo_studio_page(report, stdout);
    else
        passo_report_page(report, stdout);
    tools_free(report);
    return 0;
}
