-- A class as the program wrote it at revision 0010: one end allowance for each bench, a room temperature, one
-- run with a room of its own, a corrected run and one set aside. Ids follow from the order of the rows.

INSERT INTO department (
    "name", "created_at"
) VALUES
    ('Physics', '2031-03-06 10:15:00.000000');

INSERT INTO teacher (
    "department_id", "login", "name", "password_hash", "is_head", "is_active", "created_at"
) VALUES
    (1, 'mrs-okafor', 'Mrs-Okafor',
     '$argon2id$v=19$m=19456,t=2,p=1$Ymc3LuRTvSD99tOXV4gOiA$Lt7a/f/S6Do0iRJ4TgbyAxLhv5kaGBwU6AleIgXywE4',
     false, true, '2031-03-06 10:15:00.000000');

INSERT INTO practical (
    "department_id", "teacher_id", "title", "held_on", "state", "material", "accepted_J_per_kg_K",
    "accepted_source", "gravity_m_per_s2", "u_gravity_m_per_s2", "gravity_how", "tube_length_m",
    "end_allowance_m", "length_sd_m", "inversions", "planned_benches", "thermometer_step_K", "reading_sd_K",
    "room_temperature_C", "typed", "join_code", "opened_at", "created_at", "board_step", "board_paused",
    "bench_results_shown", "is_demo", "revision", "presence"
) VALUES
    (1, 1, 'Before depths', '2031-03-06', 'collecting', 'lead', '128', 'invented for this test', '9.80665',
     '0', 'standard', '1.00', '0.05', '0.002', 80, 4, '0.1', '0', '21.3', '{}', 'K7EEHPN',
     '2031-03-06 10:15:00.000000', '2031-03-06 10:15:00.000000', 'reported', false, false, false, 16, 1);

INSERT INTO bench_plan (
    "practical_id", "number", "shot_mass_kg", "end_allowance_m", "runs"
) VALUES
    (1, 1, '0.24', '0.06', 2),
    (1, 2, '0.45', '0.08', 2),
    (1, 3, '0.66', '0.1', 2),
    (1, 4, '0.88', '0.12', 2);

INSERT INTO state_change (
    "practical_id", "kind", "detail", "teacher_id", "at"
) VALUES
    (1, 'planned', '', 1, '2031-03-06 10:15:00.000000'),
    (1, 'opened', '', 1, '2031-03-06 10:15:00.000000');

INSERT INTO bench (
    "practical_id", "number", "bench_key", "open_to_a_phone", "joined_at", "progress", "progress_at",
    "waiting_to_send", "last_seen_at", "simulated"
) VALUES
    (1, 1, '38949', false, '2031-03-06 10:15:00.000000', 'sent', '2031-03-06 10:20:00.000000', 0,
     '2031-03-06 10:20:00.000000', false),
    (1, 2, '24573', false, '2031-03-06 10:15:00.000000', 'sent', '2031-03-06 10:30:00.000000', 0,
     '2031-03-06 10:30:00.000000', false),
    (1, 3, '99729', false, '2031-03-06 10:15:00.000000', 'sent', '2031-03-06 10:40:00.000000', 0,
     '2031-03-06 10:40:00.000000', false),
    (1, 4, '87976', false, '2031-03-06 10:15:00.000000', 'sent', '2031-03-06 10:50:00.000000', 0,
     '2031-03-06 10:50:00.000000', false);

INSERT INTO bench_phone (
    "bench_id", "token_digest", "joined_at", "last_seen_at", "waiting_to_send"
) VALUES
    (1, '551b0b2a70309e7597ccdd4b778642e25e5b4a47d14b3c8fa6ce5c10ce6e9cae', '2031-03-06 10:15:00.000000',
     '2031-03-06 10:20:00.000000', 0),
    (2, 'd999399a0d5e7cc280d7c462cd0e52778099bba53206949f9b3b56cbab3cb2d9', '2031-03-06 10:15:00.000000',
     '2031-03-06 10:30:00.000000', 0),
    (3, 'f6cd013b825daa260621ab24fdc6a3dc5c9271be74a6d9848c85b53046c6d00a', '2031-03-06 10:15:00.000000',
     '2031-03-06 10:40:00.000000', 0),
    (4, '15e7d2e2c81f6d9730e48c2f10278d80bd0aefb31b7db457eca850ea7372aa50', '2031-03-06 10:15:00.000000',
     '2031-03-06 10:50:00.000000', 0);

INSERT INTO run (
    "practical_id", "bench_id", "number", "idempotency_key", "body_digest", "latest_version", "set_aside",
    "revision", "simulated", "created_at", "left_to_ask"
) VALUES
    (1, 1, 1, '00000000000000000000000000000001',
     'bdf0691c602c5da92cfe41d0ad79e9c66dad2d4b1c6217b158984725642804ce', 1, false, 1, false,
     '2031-03-06 10:15:00.000000', false),
    (1, 1, 2, '00000000000000000000000000000002',
     'ea3e8d96fb9229112b495414c70f45817f583b25831f241e1605bc439eff4b45', 1, true, 2, false,
     '2031-03-06 10:20:00.000000', false),
    (1, 2, 1, '00000000000000000000000000000003',
     '2e844b230a091c37cbeb3bb414c30b464db0198cfe1681c43627442bcfebe0ef', 1, false, 1, false,
     '2031-03-06 10:25:00.000000', false),
    (1, 2, 2, '00000000000000000000000000000004',
     'd4c1bec237cb458fe122d28805464ac25bbdce2c1a3083f3bf04d7c17e13567f', 1, false, 1, false,
     '2031-03-06 10:30:00.000000', false),
    (1, 3, 1, '00000000000000000000000000000005',
     '2a21b1e35285107f9543523e2962254b09c73ec6726e53cefe64955825fcb3ae', 1, false, 1, false,
     '2031-03-06 10:35:00.000000', false),
    (1, 3, 2, '00000000000000000000000000000006',
     '1a6cd867b285ae27a1efbe9ccba683f94d86d3ca313eb8613c56ac7fa2d33d4b', 1, false, 1, false,
     '2031-03-06 10:40:00.000000', false),
    (1, 4, 1, '00000000000000000000000000000007',
     '4070265e5aa36913122cee4729ee735ba39de3d3b1d0fb2976f626235162ec15', 2, false, 2, false,
     '2031-03-06 10:45:00.000000', false),
    (1, 4, 2, '00000000000000000000000000000008',
     '1c8f5b16641e7ee92ed79678df4a21463ce8b49198b91450b4c165cc7e379b29', 1, false, 1, false,
     '2031-03-06 10:50:00.000000', false);

INSERT INTO decision (
    "run_id", "action", "reason", "teacher_id", "at", "run_revision", "run_version"
) VALUES
    (2, 'set aside', 'the tube leaked shot', 1, '2031-03-06 11:05:00.000000', 2, 1);

INSERT INTO run_version (
    "run_id", "version", "idempotency_key", "body_digest", "shot_mass_text", "shot_mass_unit",
    "shot_mass_kg", "tube_length_text", "tube_length_unit", "tube_length_m", "end_allowance_text",
    "end_allowance_unit", "end_allowance_m", "inversions_text", "inversions", "start_temperature_text",
    "start_temperature_unit", "start_temperature_C", "end_temperature_text", "end_temperature_unit",
    "end_temperature_C", "room_temperature_text", "room_temperature_unit", "room_temperature_C", "reason",
    "actor_kind", "at"
) VALUES
    (1, 1, NULL, 'bdf0691c602c5da92cfe41d0ad79e9c66dad2d4b1c6217b158984725642804ce', '240 g', 'g', '0.24',
     '100', 'cm', '1.00', '6', 'cm', '0.06', '80', 80, '19.6', '°C', '19.6', '22.0', '°C', '22.0', NULL,
     NULL, NULL, '', 'bench', '2031-03-06 10:15:00.000000'),
    (2, 1, NULL, 'ea3e8d96fb9229112b495414c70f45817f583b25831f241e1605bc439eff4b45', '240 g', 'g', '0.24',
     '100', 'cm', '1.00', '6', 'cm', '0.06', '80', 80, '19.8', '°C', '19.8', '22.1', '°C', '22.1', NULL,
     NULL, NULL, '', 'bench', '2031-03-06 10:20:00.000000'),
    (3, 1, NULL, '2e844b230a091c37cbeb3bb414c30b464db0198cfe1681c43627442bcfebe0ef', '450 g', 'g', '0.45',
     '100', 'cm', '1.00', '8', 'cm', '0.08', '80', 80, '19.4', '°C', '19.4', '22.7', '°C', '22.7', NULL,
     NULL, NULL, '', 'bench', '2031-03-06 10:25:00.000000'),
    (4, 1, NULL, 'd4c1bec237cb458fe122d28805464ac25bbdce2c1a3083f3bf04d7c17e13567f', '450 g', 'g', '0.45',
     '100', 'cm', '1.00', '8', 'cm', '0.08', '81', 81, '19.7', '°C', '19.7', '23.0', '°C', '23.0',
     '70,7 °F', '°F', '21.5', '', 'bench', '2031-03-06 10:30:00.000000'),
    (5, 1, NULL, '2a21b1e35285107f9543523e2962254b09c73ec6726e53cefe64955825fcb3ae', '660 g', 'g', '0.66',
     '100', 'cm', '1.00', '10', 'cm', '0.1', '80', 80, '19.1', '°C', '19.1', '22.8', '°C', '22.8', NULL,
     NULL, NULL, '', 'bench', '2031-03-06 10:35:00.000000'),
    (6, 1, NULL, '1a6cd867b285ae27a1efbe9ccba683f94d86d3ca313eb8613c56ac7fa2d33d4b', '660 g', 'g', '0.66',
     '100', 'cm', '1.00', '10', 'cm', '0.1', '80', 80, '19.2', '°C', '19.2', '22.9', '°C', '22.9', NULL,
     NULL, NULL, '', 'bench', '2031-03-06 10:40:00.000000'),
    (7, 1, NULL, '4070265e5aa36913122cee4729ee735ba39de3d3b1d0fb2976f626235162ec15', '88 g', 'g', '0.088',
     '100', 'cm', '1.00', '12', 'cm', '0.12', '79', 79, '19.0', '°C', '19.0', '22.8', '°C', '22.8', NULL,
     NULL, NULL, '', 'bench', '2031-03-06 10:45:00.000000'),
    (7, 2, '00000000000000000000000000000063',
     '1d04a0a443c38c56f987a6299fcae304de923efbe16bd78846bfdddb55106598', '880 g', 'g', '0.88', '100', 'cm',
     '1.00', '12', 'cm', '0.12', '79', 79, '19.0', '°C', '19.0', '22.8', '°C', '22.8', NULL, NULL, NULL,
     'a digit was missing', 'bench', '2031-03-06 10:48:00.000000'),
    (8, 1, NULL, '1c8f5b16641e7ee92ed79678df4a21463ce8b49198b91450b4c165cc7e379b29', '880 g', 'g', '0.88',
     '100', 'cm', '1.00', '12', 'cm', '0.12', '80', 80, '19.3', '°C', '19.3', '23.2', '°C', '23.2', NULL,
     NULL, NULL, '', 'bench', '2031-03-06 10:50:00.000000');
