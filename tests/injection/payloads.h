#ifndef TESTS_INJECTION_PAYLOADS_H
#define TESTS_INJECTION_PAYLOADS_H

/*
 * Names and notes that try to run something or to break out of where they are
 * written. Whoever runs one makes a file "canary" in the folder it runs in.
 */
enum {
    RUNS = 1,    /* gnuplot or a shell runs it out of a naive writer's script */
    MARKS = 2,   /* becomes an element of a naive writer's HTML or Markdown */
    COMPUTES = 4, /* a spreadsheet takes it for a formula in a naive writer's CSV */
    STEERS = 8,  /* steers a terminal, or turns the writing direction */
    CLIMBS = 16, /* leaves the folder as a naive writer's file name */
};

struct payload { const char *text; int effect; };

static const struct payload payloads[] = {
    {"`touch canary`", RUNS},
    {"$(touch canary)", RUNS},
    {"a\"; system(\"touch canary\"); #", RUNS},
    {"a'; system('touch canary'); #", RUNS},
    {"'; system('touch canary'); #", RUNS},
    {"\" . system(\"touch canary\") . \"", RUNS},
    {"' . system('touch canary') . '", RUNS},
    {"< touch canary; echo 1 2", RUNS},
    {"| touch canary", RUNS},
    {"a\\\"; system(\"touch canary\"); #", 0},
    {"a\\'; system('touch canary'); #", RUNS},
    {"a''; system('touch canary'); #", 0},
    {"a\"; touch canary; \"", RUNS},
    {"@canary @{canary}", 0},
    {"x_{1}^2@{3}&~%s", 0},
    {"{/Symbol a} {/*9 huge}", 0},
    {"%n%n%n%s%*d", 0},
    {"EOD", 0},
    {"EOF", 0},
    {"e", 0},
    {"#", 0},
    {"\\", 0},
    {"'", 0},
    {"''''", 0},
    {"\"", 0},
    {"\\042; system(\\042touch canary\\042)", 0},
    {"=cmd|'/c calc'!A1", COMPUTES},
    {"+1+1", COMPUTES},
    {"-2+3", COMPUTES},
    {"@SUM(A1)", COMPUTES},
    {"=HYPERLINK(\"http://localhost/\")", COMPUTES},
    {"\xEF\xBC\x9D" "1+1", COMPUTES},
    {"<script>alert(1)</script>", MARKS},
    {"\"><img src=x onerror=alert(1)>", MARKS},
    {"<b>bold</b> & <i>", MARKS},
    {"</td></tr></table><h1>x</h1>", MARKS},
    {"</title></head><script>alert(2)</script>", MARKS},
    {"]]><x/>", MARKS},
    {"--><x>", MARKS},
    {"<!--", MARKS},
    {"**bold** __x__", MARKS},
    {"[x](javascript:alert(1))", MARKS},
    {"![x](http://localhost/x.png)", MARKS},
    {"a|b|c|d", MARKS},
    {"`code`", MARKS},
    {"<http://localhost/>", MARKS},
    {"http://localhost/ www.localhost.localdomain a@localhost.localdomain", MARKS},
    {"~~gone~~", MARKS},
    {"a\x1B[2Jb", STEERS},
    {"a\x1B]8;;http://localhost/\x1B\\b", STEERS},
    {"a\x1B]0;title\x07" "b", STEERS},
    {"a\xC2\x9B" "31mb", STEERS},
    {"a\x08\x08\x08" "b", STEERS},
    {"a\xE2\x80\xAE" "b", STEERS},
    {"a\xE2\x81\xA6" "b", STEERS},
    {"../../canary", CLIMBS},
    {"../canary", CLIMBS},
    {"..", 0},
    {"C:\\canary", 0},
    {"-o canary", COMPUTES},
    {"--output=canary", COMPUTES},
    /* With line breaks: for notes and titles alone, since a name may not hold one. */
    {"a\n!touch canary\n", RUNS},
    {"a\nEOD\nsystem('touch canary')\n", RUNS},
    {"a\ne\nsystem('touch canary')\n", RUNS},
    {"a\nEOF\ntouch canary\n", RUNS},
    {"a\r\n=1+1", 0},
    {"a\n\n# heading\n\n<script>alert(1)</script>", MARKS},
};
enum { N_PAYLOADS = sizeof payloads / sizeof *payloads };

#endif
