from django import template

from buildlog.prose import prose

register = template.Library()
register.filter("prose", prose)
