__attribute__((weak)) const char *passo_report_secure_words(const struct passo_report_passage *p,
                                                            char *out, size_t bytes)
{
    snprintf(out, bytes,
             p->secure.kind ? "secure at %.0f, most likely %.0f to %.0f"
                            : "not enough passes to say",
             p->secure.bpm, p->secure.low_bpm, p->secure.high_bpm);
    return out;
}
__attribute__((weak)) const char *passo_report_outlook_words(const struct passo_report_passage *p,
                                                             char *out, size_t bytes)
{
    (void)p;
    snprintf(out, bytes,
             "About 2 weeks to the target if it goes on like this; it may be 9 days or 4 weeks.");
    return out;
}
__attribute__((weak)) const char *passo_report_due_words(const struct passo_report *r,
                                                         const struct passo_report_passage *p,
                                                         char *out, size_t bytes)
{
    (void)p;
    (void)r;
    snprintf(out, bytes, "due again on Friday");
    return out;
}
