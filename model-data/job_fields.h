// Every key of a job's entries, once: the writer and the reader walk the same lists. Private to model-data.
#pragma once

#include "job.h"

namespace ringland::model {

/// Specialised for each thing: `fields(thing, see)` calls see(key, member) for each of its members.
template <class T> struct JobFields;

template <> struct JobFields<JobHead> {
    template <class T, class V> static void fields(T& t, V&& see) {
        see("number", t.number);
        see("customer", t.customer);
        see("complaint", t.complaint);
        see("who", t.who);
        see("opened_at", t.opened_at);
        see("conclusion", t.conclusion);
        see("comeback_of", t.comeback_of);
    }
};
template <> struct JobFields<StepTick> {
    template <class T, class V> static void fields(T& t, V&& see) {
        see("step", t.step);
        see("at", t.at);
        see("who", t.who);
    }
};
template <> struct JobFields<JobCheck> {
    template <class T, class V> static void fields(T& t, V&& see) {
        see("purpose", t.purpose);
        see("at", t.at);
        see("who", t.who);
        see("turns_freely", t.turns_freely);
        see("note", t.note);
    }
};
template <> struct JobFields<Seen> {
    template <class T, class V> static void fields(T& t, V&& see) {
        see("at", t.at);
        see("word", t.word);
        see("not_sure", t.not_sure);
        see("pressure", t.pressure);
        see("flow_lpm", t.flow_lpm);
        see("applies_after_s", t.applies_after_s);
    }
};
template <> struct JobFields<Reading> {
    template <class T, class V> static void fields(T& t, V&& see) {
        see("into", t.into);
        see("pressure", t.pressure);
        see("plugged", t.plugged);
        see("applied", t.applied);
        see("wet", t.wet);
        see("shaft_turned_deg", t.shaft_turned_deg);
        see("pushed", t.pushed);
        see("plate_resnugged", t.plate_resnugged);
        see("note", t.note);
        see("seen", t.seen);
    }
};
template <> struct JobFields<Look> {
    template <class T, class V> static void fields(T& t, V&& see) {
        see("seal", t.seal);
        see("found", t.found);
        see("note", t.note);
    }
};
template <> struct JobFields<Complaint> {
    template <class T, class V> static void fields(T& t, V&& see) {
        see("range", t.range);
        see("symptom", t.symptom);
        see("absent", t.absent);
        see("hot_only", t.hot_only);
        see("starts_in", t.starts_in);
        see("note", t.note);
    }
};
template <> struct JobFields<Finding> {
    template <class T, class V> static void fields(T& t, V&& see) {
        see("seal", t.seal);
        see("found", t.found);
        see("seen", t.seen);
        see("photos", t.photos);
        see("at", t.at);
        see("who", t.who);
    }
};
template <> struct JobFields<Measurement> {
    template <class T, class V> static void fields(T& t, V&& see) {
        see("clearance", t.clearance);
        see("value", t.value);
        see("fitted", t.fitted);
        see("at", t.at);
        see("who", t.who);
        see("note", t.note);
    }
};
template <> struct JobFields<Renewed> {
    template <class T, class V> static void fields(T& t, V&& see) {
        see("what", t.what);
        see("part_number", t.part_number);
        see("quantity", t.quantity);
        see("at", t.at);
        see("who", t.who);
        see("note", t.note);
    }
};
template <> struct JobFields<JobNote> {
    template <class T, class V> static void fields(T& t, V&& see) {
        see("at", t.at);
        see("who", t.who);
        see("text", t.text);
    }
};

} // namespace ringland::model
