#include "output/ask.h"
#include "support/check.h"
#include "support/temporary.h"

#include <fcntl.h>

/* A talk whose answers come from a file and whose prompts go to another. */
struct desk {
    struct ask ask;
    struct text answer;
    struct problem problem;
    bool answered;
};

static void open_desk(struct desk *desk, const char *answers, size_t length)
{
    *desk = (struct desk){ 0 };
    desk->ask.in = open(temporary_bytes("answers", answers, length), O_RDONLY);
    desk->ask.out = open(temporary_path("said"), O_WRONLY | O_CREAT | O_TRUNC, 0600);
    CU_ASSERT_FATAL(desk->ask.in >= 0 && desk->ask.out >= 0);
}

static void close_desk(struct desk *desk)
{
    close(desk->ask.in);
    close(desk->ask.out);
    text_release(&desk->answer);
    ask_release(&desk->ask);
}

static enum status next(struct desk *desk, const char *prompt)
{
    return ask_line(&desk->ask, prompt, &desk->answer, &desk->answered, &desk->problem);
}

static void check_answer(struct desk *desk, const char *want)
{
    CU_ASSERT_EQUAL(next(desk, "? "), STATUS_OK);
    CU_ASSERT_TRUE(desk->answered);
    check_text(desk->answer.bytes ? desk->answer.bytes : "", want);
}

static void lines(void)
{
    struct desk desk;
    const char text[] = "one\r\n  two words\t\n\n   \nlast";
    char said[200];
    open_desk(&desk, text, sizeof text - 1);
    CU_ASSERT_FALSE(ask_is_terminal(&desk.ask));
    check_answer(&desk, "one");
    check_answer(&desk, "two words");
    check_answer(&desk, "");
    check_answer(&desk, "");
    check_answer(&desk, "last");
    CU_ASSERT_EQUAL(next(&desk, "? "), STATUS_OK);
    CU_ASSERT_FALSE(desk.answered);
    CU_ASSERT_EQUAL(next(&desk, "? "), STATUS_OK);
    CU_ASSERT_FALSE(desk.answered);
    temporary_read(temporary_path("said"), said, sizeof said);
    check_text(said, "? one\n? two words\n? \n? \n? last\n? ? ");
    close_desk(&desk);
}

/* What came in must not steer the terminal, but for the line ends that are ours. */
static void said_is_printable(void)
{
    struct desk desk;
    char said[200];
    open_desk(&desk, "", 0);
    CU_ASSERT_EQUAL(ask_say(&desk.ask, "a\033[2Kb\rc\n\nd", &desk.problem), STATUS_OK);
    temporary_read(temporary_path("said"), said, sizeof said);
    check_text(said, "a\xEF\xBF\xBD[2Kb\xEF\xBF\xBD" "c\n\nd");
    close_desk(&desk);
}

static void long_and_broken_answers(void)
{
    static char endless[200000];
    struct desk desk;
    memset(endless, 'a', sizeof endless);
    open_desk(&desk, endless, sizeof endless);
    CU_ASSERT_EQUAL(next(&desk, ""), STATUS_INPUT);
    CU_ASSERT_FALSE(desk.answered);
    close_desk(&desk);
    open_desk(&desk, "a\0b\n", 4);
    CU_ASSERT_EQUAL(next(&desk, ""), STATUS_INPUT);
    close_desk(&desk);
    open_desk(&desk, "a\n", 2);
    close(desk.ask.in);
    CU_ASSERT_EQUAL(next(&desk, ""), STATUS_IO);
    close(desk.ask.out);
    CU_ASSERT_EQUAL(ask_say(&desk.ask, "x", &desk.problem), STATUS_IO);
    text_release(&desk.answer);
    ask_release(&desk.ask);
}

int main(void)
{
    static const struct check_case cases[] = {
        { "lines", lines }, { "said is printable", said_is_printable }, { "long and broken answers", long_and_broken_answers },
    };
    if (!temporary_start())
        return 1;
    int failed = check_run("ask", cases, sizeof cases / sizeof *cases);
    temporary_end();
    return failed;
}
