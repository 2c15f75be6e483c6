/* Writes the page of an invented scene to standard output, for page.sh and for the eye. */
#include "page_scenes.h"
#include "weak_words.h"

int main(int count, char **word)
{
    struct passo_report *report = count == 2 ? scene_named(word[1]) : NULL;
    if (!report) {
        fprintf(stderr, "name one scene of page_scenes.h\n");
        return 2;
    }
    if (strcmp(word[1], "studio"))
        passo_report_page(report, stdout);
    else
        passo_studio_page(report, stdout);
    tools_free(report);
    return 0;
}
