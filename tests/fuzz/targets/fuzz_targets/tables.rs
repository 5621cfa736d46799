#![no_main]

#[path = "../../bodies.rs"]
#[allow(dead_code)]
mod bodies;
#[path = "../../mutate.rs"]
mod mutate;

libfuzzer_sys::fuzz_target!(|data: &[u8]| bodies::tables(data));

// Half the changes are the fuzzer's own, half are such as files suffer.
libfuzzer_sys::fuzz_mutator!(|data: &mut [u8], size: usize, max_size: usize, seed: u32| {
    if seed % 2 == 0 {
        return libfuzzer_sys::fuzzer_mutate(data, size, max_size);
    }
    let mut file = data[..size].to_vec();
    mutate::mutate(&mut file, u64::from(seed));
    let size = file.len().min(max_size);
    data[..size].copy_from_slice(&file[..size]);
    size
});
