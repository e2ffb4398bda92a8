CREATE INDEX address_look_by_person ON address_look(person_id, id);
CREATE INDEX job_by_state ON job(state, kind);
