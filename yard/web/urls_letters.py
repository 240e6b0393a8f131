"""Addresses of what owners are told, and of their own pages."""

from django.urls import URLPattern, path

from yard.web.views import answers, honest, letters, letters_to_all, own_words, owner_page

urlpatterns: list[URLPattern] = [
    path("letters/", letters.letters, name="letters"),
    path("letters/<int:pk>/", letters.letter, name="letter"),
    path("letters/<int:pk>/decide/", letters.letter_decided, name="letter_decided"),
    path("letters/to/<int:pk>/", letters.letter_read, name="letter_read"),
    path("letters/to/<int:pk>/release/", letters.letter_release, name="letter_release"),
    path("letters/to/<int:pk>/told/", letters.letter_told, name="letter_told"),
    path("letters/to/<int:pk>/page/", letters.owner_page_change, name="owner_page_change"),
    path("letters/send/", letters.letters_send, name="letters_send"),
    path("letters/words/", own_words.words, name="letter_words"),
    path("letters/words/<slug:key>/", own_words.words_of, name="letter_words_of"),
    path("letters/storm/", letters_to_all.storm, name="letters_storm"),
    path("letters/winter/", letters_to_all.winter, name="letters_winter"),
    path("letters/winter/<int:pk>/open/", letters_to_all.winter_open, name="letters_winter_open"),
    path("letters/winter/<int:pk>/list/", letters_to_all.winter_list, name="letters_winter_list"),
    path("letters/winter/<int:pk>/ask/", letters_to_all.winter_ask, name="letters_winter_ask"),
    path("letters/winter/<int:pk>/asked/<int:owner>/", letters_to_all.winter_asked, name="letters_winter_asked"),
    path("letters/answers/", answers.answers, name="answers"),
    path("letters/answers/<int:pk>/", answers.answer_decided, name="answer_decided"),
    path("letters/honest/", honest.honest, name="honest"),
    path("letters/honest/<int:pk>/", honest.estimate_accepted, name="estimate_accepted"),
    path("owner/<str:token>/", owner_page.owner_page, name="owner_page"),
]
