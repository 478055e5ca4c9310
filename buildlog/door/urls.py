from django.urls import path

from buildlog.door.views import arriving, crew, me, signing

urlpatterns = [
    path("sign-in/", signing.sign_in, name="sign-in"),
    path("sign-out/", signing.sign_out, name="sign-out"),
    path("first/<str:token>/", arriving.first, name="first"),
    path("join/<str:token>/", arriving.join, name="join"),
    path("me/", me.me, name="me"),
    path("me/name/", me.save_name, name="save-name"),
    path("me/password/", me.save_password, name="save-password"),
    path("me/tokens/", me.add_token, name="add-token"),
    path("me/tokens/<int:pk>/revoke/", me.revoke_token, name="revoke-token"),
    path("me/sign-out-everywhere/", me.leave_all_devices, name="sign-out-everywhere"),
    path("b/<slug:slug>/crew/", crew.crew, name="crew"),
    path("b/<slug:slug>/crew/invite/", crew.invite, name="invite"),
    path("b/<slug:slug>/crew/leave/", crew.leave, name="leave-crew"),
    path("b/<slug:slug>/crew/invitations/<int:pk>/withdraw/", crew.withdraw, name="withdraw"),
    path("b/<slug:slug>/crew/<int:pk>/", crew.change_place, name="change-place"),
    path("b/<slug:slug>/crew/<int:pk>/remove/", crew.remove, name="remove-from-crew"),
]
